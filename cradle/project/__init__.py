"""Room: project. Text to `Project` and back.

Terms: a *key* is one line of a table (``wall`` in ``[block]``); its *path* is
the tuple ``("section", 0, "height")``, shown to people as the *dotted key*
``section[1].height``, counted from 1 as in "section 1". A *mistake* is what
is wrong with one value; with its line it becomes a `Problem`. A *place* is
where a key stands in the text. A *spec* is what one table says, as values.

A key is declared once, as a field of the spec of its table (`block`,
`section`, ...): how it is read, its bounds, what it means, how a new project
shows it. What a table's values must satisfy together stands beside the spec;
`project` puts the tables together. Reader, writer, changes and the commented
project are all made from these.
"""
