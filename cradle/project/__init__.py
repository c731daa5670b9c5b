"""Room: project. Text to `Project` and back.

Terms: a *key* is one line of a table (``wall`` in ``[block]``); its *path* is
the tuple ``("section", 0, "height")``, shown to people as the *dotted key*
``section[1].height``, counted from 1 as in "section 1". A *mistake* is what
is wrong with one value; with its line it becomes a `Problem`. A *place* is
where a key stands in the text.

`schema` holds one table of keys per TOML table; reader, writer and the
commented project of `template` all follow it. A new key is one line there and
one field in `spec`; a new source of outlines is one table in
``schema.SOURCE_TABLES`` and one type in ``spec.Source``.
"""
