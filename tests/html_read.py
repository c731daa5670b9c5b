"""Pages and fragments of HTML, read by the standard library's own parser."""

from html.parser import HTMLParser

VOID = {"meta", "link", "br", "img", "hr", "input"}


class Reader(HTMLParser):
    """Tags with their attributes, ids, words, cells of rows and list items; every tag is closed in its turn."""

    def __init__(self):
        super().__init__()
        self.open, self.seen, self.words, self.ids, self.rows, self.items = [], [], [], [], [], []

    def handle_starttag(self, tag, attrs):
        self.handle_startendtag(tag, attrs)
        if tag not in VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")
        if tag == "li":
            self.items.append("")

    def handle_startendtag(self, tag, attrs):
        self.seen.append((tag, dict(attrs)))
        self.ids += [v for k, v in attrs if k == "id"]

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] not in {"script", "style"}:
            self.words.append(data)
        if {"td", "th"} & set(self.open):
            self.rows[-1][-1] += data
        if "li" in self.open:
            self.items[-1] += data

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


def read(html):
    """What stands in a page, as bytes or as text."""
    reader = Reader()
    reader.feed(html.decode() if isinstance(html, bytes) else html)
    reader.close()
    assert not reader.open
    return reader
