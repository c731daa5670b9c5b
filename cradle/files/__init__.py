"""Bytes from plain files and into them: one door for reading, one for writing.

*plain file*: a regular file, as POSIX calls it (S_ISREG), or a link that leads to one. Devices, pipes, sockets and folders
are neither opened for reading nor replaced by writing.
*kind*: what a file is read as: how large it may be, and what to do about one that cannot be read.
*set*: files written together. Whoever looks finds all the earlier ones or all the new ones.
*journal*: names the files of a set while they take their names; where one is left behind, the next set written into the
folder restores the earlier files first.
"""
