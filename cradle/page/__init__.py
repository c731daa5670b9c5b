"""Room: the page, a page in the browser of this machine for trying values.

Glossary: a **tab** is one open page, with what it read of the project file and
what was **moved** since; a **preview** is all that is shown of a holder built with
these values, a **glance** what can be told of them before it is built. The
**worker** is a process of its own that builds, so that the page answers
meanwhile. No geometry in this room: it shows what other rooms make.
"""
