"""Room: nouns to files.

Terms: a *named ring* is a closed curve of a drawing with the words that name
its layer. Writers return bytes, the same every time; only `files` touches the
disk, and only `outputs` knows which files belong together.
"""
