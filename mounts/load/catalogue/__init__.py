"""Files of a library: its layers of folders, the file that a name means, and the list of `mounts list`.

Takes folders and names; gives paths, list entries and panel summaries. May import `parse/`; never the models, so that
a list of ten thousand files needs neither pydantic nor numpy.
"""
