"""Results of earlier runs, read back and verified: reports, parts on the shelf, and which program made them.

Takes folders and fields of JSON; gives reports and bytes. May import `findings/`, `identity` and the cache of
`catalogue/`.
"""
