"""Small files made to cost much, and a child process that reads one under limits of time and memory."""

import json
import struct
import subprocess
import sys
import zlib

SECONDS = 20
"""CPU time that any file may cost, start of the program included."""
MEGABYTES = 1000
"""Memory that any file may cost beyond what the program itself maps."""

SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200">{}</svg>'
RECT = '<rect x="5" y="5" width="60" height="40"/>'

READ = """
import resource, sys
from pathlib import Path
import numpy, scipy.spatial, shapely, ezdxf, cv2, PIL.Image
import cradle.capture.outline_reader as reader, cradle.capture.tracing
from cradle.errors import CradleError
from cradle.project.section import DrawingSource, SectionSpec
from cradle.project.picture import PictureSource
mapped = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
resource.setrlimit(resource.RLIMIT_AS, (mapped + {megabytes} * 2**20,) * 2)
resource.setrlimit(resource.RLIMIT_CPU, ({seconds},) * 2)
file = Path(sys.argv[1])
picture = file.suffix in (".png", ".tif", ".jpg", ".bmp", ".webp")
source = PictureSource(file=file.name, dpi=300.0) if picture else DrawingSource(path=file.name)
spec = SectionSpec(name="a", height_mm=1.0, source=source)
try:
    outline = reader.read_outline(spec, folder=file.parent)
    print("read", len(outline.points_mm))
except CradleError as error:
    print("refused", str(error))
used = resource.getrusage(resource.RUSAGE_SELF)
print(used.ru_utime + used.ru_stime, used.ru_maxrss // 1024)
"""


def cost(file):
    """What came of reading a file, ``(read or refused, words, CPU seconds, MB)``; fails where it broke a limit."""
    done = subprocess.run(
        [sys.executable, "-c", READ.format(seconds=SECONDS, megabytes=MEGABYTES), str(file)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"{file.name}: ended with {done.returncode}: {done.stderr[-1500:]}"
    assert done.stderr == ""
    first, last = done.stdout.rstrip("\n").rsplit("\n", 1)
    outcome, _, words = first.partition(" ")
    assert "\n" not in words
    seconds, megabytes = last.split()
    return outcome, words, float(seconds), int(megabytes)


def svg(body):
    return SVG.format(body).encode()


def style(text, body=RECT):
    return svg(f"<style>{text}</style>{body}")


def beziers(count):
    return "M5 5" + "".join(f"C{k % 90} 9 9 {k % 80} {k % 70} {k % 60}" for k in range(count)) + "Z"


def dxf(entities, header="4"):
    top = f"0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n{header}\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
    return (top + entities + "0\nENDSEC\n0\nEOF\n").encode()


def polyline(count, bulge=""):
    corners = "".join(f"10\n{k % 90}.{k % 97:02d}\n20\n{k % 83}.{k % 89:02d}\n{bulge}" for k in range(count))
    return dxf(f"0\nLWPOLYLINE\n100\nAcDbEntity\n8\n0\n100\nAcDbPolyline\n90\n{count}\n70\n1\n{corners}")


def png(width, height, *, depth=8, colour=0, rows=b""):
    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, depth, colour, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def zigzag(count):
    return "".join(f"{k % 2 * 50},{k / count}\n" for k in range(count)).encode()


FILES = {
    "plain-text.svg": lambda: style("a" * 200_000),
    "open-remarks.svg": lambda: style("/*" * 100_000),
    "open-blocks.svg": lambda: style("a{" * 100_000),
    "closed-blocks.svg": lambda: style("}" * 200_000),
    "many-rules.svg": lambda: style(
        "".join(f".c{k}{{display:inline}}" for k in range(100_000)), RECT * 20_000
    ),
    "many-rules-for-all.svg": lambda: style("*{display:inline}" * 100_000, RECT * 20_000),
    "many-classes.svg": lambda: svg(
        '<g id="a"><rect class="'
        + "x " * 400_000
        + '" width="9" height="9"/></g>'
        + '<use href="#a"/>' * 5000
    ),
    "long-style-in-pieces.svg": lambda: style("<!-- -->".join("ab" for _ in range(200_000))),
    "used-curves.svg": lambda: svg(
        f'<defs><path id="p" d="{beziers(2000)}"/></defs>' + '<use href="#p"/>' * 29_000
    ),
    "used-corners.svg": lambda: svg(
        f'<defs><path id="p" d="M0 0{" 1 2 3 4" * 5000}"/></defs>' + '<use href="#p"/>' * 29_000
    ),
    "used-points.svg": lambda: svg(
        f'<defs><polygon id="p" points="{"1 2 3 4 " * 20_000}"/></defs>' + '<use href="#p"/>' * 9000
    ),
    "one-long-path.svg": lambda: svg(f'<path d="{beziers(300_000)}"/>'),
    "one-long-line.svg": lambda: svg(f'<path d="M0 0{" 1 2 3 4" * 1_000_000}"/>'),
    "many-elements.svg": lambda: svg("<g/>" * 2_000_000),
    "many-attributes.svg": lambda: svg("<g " + " ".join(f'a{k}=""' for k in range(1_500_000)) + "/>"),
    "many-transforms.svg": lambda: svg(f'<g transform="{"rotate(1) " * 100_000}">{RECT}</g>'),
    "lines-at-one-x.svg": lambda: svg(
        "".join(f'<line x1="9" y1="{k * 0.006}" x2="{20 + k * 0.003}" y2="190"/>' for k in range(29_000))
    ),
    "ends-in-a-crowd.svg": lambda: svg(
        "".join(
            f'<line x1="{k % 170 * 0.0003}" y1="{k // 170 * 0.0003}" x2="{90 + k % 170}" y2="{k // 170}"/>'
            for k in range(29_000)
        )
    ),
    "points.dxf": lambda: dxf("0\nPOINT\n8\n0\n10\n1.0\n20\n2.0\n" * 900_000),
    "lines.dxf": lambda: dxf("0\nLINE\n8\n0\n10\n1.0\n20\n2.0\n11\n4\n21\n5\n" * 90_000),
    "corners.dxf": lambda: polyline(200_000),
    "more-corners.dxf": lambda: polyline(1_500_000),
    "bulges.dxf": lambda: polyline(200_000, bulge="42\n0.5\n"),
    "huge-bulge.dxf": lambda: polyline(9, bulge="42\n1e300\n"),
    "old-corners.dxf": lambda: dxf(
        "0\nPOLYLINE\n8\n0\n66\n1\n70\n1\n" + "0\nVERTEX\n8\n0\n10\n1\n20\n2\n" * 95_000 + "0\nSEQEND\n"
    ),
    "spline.dxf": lambda: dxf(
        "0\nSPLINE\n100\nAcDbEntity\n8\n0\n100\nAcDbSpline\n70\n0\n71\n3\n72\n300004\n73\n300000\n"
        + "".join(f"40\n{k}\n" for k in range(300_004))
        + "".join(f"10\n{k % 90}\n20\n{k % 70}\n" for k in range(300_000))
    ),
    "blank-lines.dxf": lambda: b" " * 10_000_000 + b"\n" * 10_000_000,
    "many-points.csv": lambda: b"1,2\n" * 3_900_000,
    "points.csv": lambda: zigzag(390_000),
    "out-and-back.csv": lambda: b"0,0\n60,0\n60,40\n" + b"0,40\n0,90\n" * 190_000,
    "repeated.csv": lambda: b"0,0\n60,0\n60,40\n" + b"0,40\n0,40\n" * 190_000,
    "separators.csv": lambda: b"," * 15_000_000,
    "digits.csv": lambda: b"1" * 15_000_000 + b",2\n",
    "breaks.csv": lambda: b"\r" * 15_000_000 + b"1,2\n",
    "no-breaks.csv": lambda: b"1,2;" * 3_000_000,
    "brackets.json": lambda: b"[" * 15_000_000,
    "empty-lists.json": lambda: b"[" + b"[]," * 5_000_000 + b"[]]",
    "empty-tables.json": lambda: b"[" + b"{}," * 5_000_000 + b"{}]",
    "digits.json": lambda: b"[[" + b"1" * 15_000_000 + b",2]]",
    "pairs.json": lambda: json.dumps([[k % 90, k % 70] for k in range(390_000)]).encode(),
    "flat.png": lambda: png(60_000, 60_000),
    "deep.png": lambda: png(8900, 8900, depth=16, colour=6, rows=b"\0" * 8900 * 8 * 100),
    "words.png": lambda: b"\x89PNG\r\n\x1a\n" + b"zTXt" * 1_000_000,
}


def written(folder, name):
    (folder / name).write_bytes(FILES[name]())
    return folder / name
