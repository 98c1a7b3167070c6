"""Files that leave the tool: one writer a format, listed in `formats`; `output` says what files a part gives.

Takes parts, plans, reports, drawings and sheets as values; gives bytes by file name, and `files.publish` puts a set
of them into a folder, all or none. It may import everything below it, and the formats' libraries in the functions
that need them.
"""
