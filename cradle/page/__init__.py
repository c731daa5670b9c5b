"""Room: the page, a page in the browser of this machine that does the whole job, from pictures to files.

Glossary: a **desk** is what all windows share: the **session** (the project's
text with its revisions and history), two **workers** (processes that compute),
and what they found last. An **edit** is a list of steps that change the text,
all or none. A **job** is a request to a worker, a **told** what it says before
its **answer**. A **draft** is what can be used of a project that is not whole
yet. No geometry in this room: it shows what other rooms make.

The browser's side lies in ``web/``: plain HTML, style sheets and ES modules,
nothing to build and nothing to fetch; those that the report needs too lie in
``cradle/report/web/`` and are served from there: ``dom.js``, which makes elements,
``fingers.js`` and the 3-D view. ``main.js`` is the frame (``work.js`` its
foot), ``desk.js`` talks to the server (``refusals.js``: what was typed and
refused), ``sections.js`` tells what is known of the sections, ``places.js``
where a mistake belongs. ``fields.js`` makes a labelled field (``field.js`` of
``field_parts.js``) of every key from ``/schema``; ``layout.js`` lays out. What the steps show:

- most of them: how to begin (``begin.js``), what is missing (``missing.js``), what
  was found (``findings.js``)
- outline: files (``hand_over.js``, ``new_section.js``), a picture with its pieces
  (``picture_step.js``, ``piece_words.js``) and scale (``ruler.js``) on
  ``picture.js`` (``picture_marks.js``, ``glass.js``), points moved by hand
  (``adjust.js``, ``outline_points.js``, ``point_handles.js``, ``dragging.js``)
- measure: a card for each section (``section_card.js``, ``residual.js``), profiles
  and views (``leaning.js``), the outline (``section_plot.js``)
- stack: sections from above, moved by hand (``lie.js``), and from the sides
  (``heights_plot.js``)
- holder and fit: openings (``openings.js``), thing and holder (``holder_view.js``
  on ``solid.js``: ``solid_paint.js`` with ``solid_shaders.js``, ``solid_camera.js``,
  ``solid_cut.js``), the chance (``chance.js``), what is advised
  (``care.js``), trials (``trials.js``, ``trial_results.js``), files (``files.js``)

A step is added by a module in ``web/steps/`` that exports ``{id, title, show}``
and by its line in ``web/steps.js``. ``show({desk, controls, view, found, go})``
fills the elements (fields, what it looks like, what was found), listens
with ``desk.on("state" | "sections" | "part" | "holder", ...)``, changes the
project with ``desk.edit(steps, label)`` alone, and returns ``{leave, reveal}``:
``leave()`` stops listening, ``reveal(key)`` brings the field of a key into view.
What a step has computed is a task in ``jobs.py``, a module ``*_job.py`` with
a class whose ``answer`` returns JSON data, and a route in ``routes.py``, asked of
the reader, at once, or of the builder.
"""
