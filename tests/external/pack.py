#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The review pack as other programs read it: fonts, structure, text, bookmarks, labels, scale, size.

Arguments: the program, the folder of the examples, the folder of the compiled catalogues.
"""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "share"))
from tap import Tap  # noqa: E402

TOOLS = ["pdffonts", "pdfinfo", "pdftotext", "pdftocairo", "qpdf"]

# mm that a length on paper may be off
EXACT = 0.1

# MiB that many sheets may take above few
FLAT = 24

PT = 72 / 25.4

LANGUAGES = {"de_DE": ["Abstandstabelle", "Was nicht ohne Weiteres hält", "Maßstab"],
             "es_ES": ["Tabla de holguras", "Lo que no se cumple sin más", "Escala"]}


def run(command, **options):
    return subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, **options)


def text_of(pdf, *options):
    return run(["pdftotext", *options, pdf, "-"], check=True).stdout.decode()


def words(text):
    return " ".join(text.split())


class Packer:
    """Writes packs and remembers how much memory the largest took."""

    def __init__(self, program, folder):
        self.program, self.folder, self.count = program, folder, 0
        self.environment = dict(os.environ, LC_ALL="C.UTF-8")

    def pack(self, bay, *options, environment=None, **more):
        """The path of a pack, and its process's peak of memory in MiB."""
        self.count += 1
        path = os.path.join(self.folder, f"pack-{self.count}.pdf")
        process = subprocess.Popen([self.program, "pack", bay, "-o", path, *options],
                                   env=environment or self.environment, **more)
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode != 0:
            raise RuntimeError(f"pack {bay} {options} ended with {process.returncode}")
        return path, usage.ru_maxrss / 1024


def pages_of(pdf):
    info = run(["pdfinfo", pdf], check=True).stdout.decode()
    return int(re.search(r"^Pages:\s+(\d+)", info, re.M).group(1))


def structure(tap, pdf, name):
    """Fonts, qpdf's check, bookmarks and labels."""
    fonts = run(["pdffonts", pdf], check=True).stdout.decode().splitlines()[2:]
    tap.fact(fonts and all(re.search(r"\byes yes yes\b", line) for line in fonts),
             f"{name}: every font is embedded, a subset, and maps to Unicode", "\n".join(fonts))
    check = run(["qpdf", "--check", pdf])
    tap.fact(check.returncode == 0, f"{name}: qpdf finds nothing wrong",
             check.stdout.decode(), check.stderr.decode())
    read = json.loads(run(["qpdf", "--json=1", "--json-key=outlines", "--json-key=pagelabels",
                           "--json-key=pages", pdf], check=True).stdout)
    pages = len(read["pages"])
    outlines = read["outlines"]
    places = [entry["destpageposfrom1"] for entry in outlines]
    tap.fact(len(outlines) >= 4 and places == sorted(places) and places[0] == 1,
             f"{name}: chapters are bookmarks, in the order of their pages",
             json.dumps(outlines)[:600])
    labels = labels_of(read["pagelabels"], pages)
    tap.fact(labels[0] == "1.1" and len(set(labels)) == pages,
             f"{name}: each page has a label of its own, chapter and page", labels[:5])
    return outlines


def labels_of(ranges, pages):
    """The label of each page, from qpdf's ranges."""
    labels = []
    for k, entry in enumerate(ranges):
        last = ranges[k + 1]["index"] if k + 1 < len(ranges) else pages
        style = entry["label"]
        for i in range(last - entry["index"]):
            number = str(style.get("/St", 1) + i) if "/S" in style else ""
            prefix = style.get("/P", "")
            labels.append((prefix[2:] if prefix.startswith("u:") else prefix) + number)
    return labels


def order(tap, program, bay, pdf, name):
    """The summary reads in its order, and says each short finding in the report's words."""
    report = run([program, "check", bay, "--json", "-"],
                 env=dict(os.environ, LC_ALL="C.UTF-8")).stdout
    report = json.loads(report)
    # the content's own order: title, verdict, findings by number
    text = words(text_of(pdf, "-raw", "-l", "3"))
    places = [text.find(report["bay"]), text.find("Counting every state"),
              text.find("What does not simply hold")]
    tap.fact(-1 not in places and places == sorted(places),
             f"{name}: title, verdict and findings are read in this order", text[:400])
    worst = {}
    for finding in report["findings"]:
        key = (finding["rule"], finding["subject"])
        if finding["level"] == "short" and finding["margin"] is not None and (
                key not in worst or finding["margin"] < worst[key]["margin"] - 1e-3):
            worst[key] = finding
    missing = [f["text"] for f in worst.values()
               if not all(part in text for part in numbers_of(f["text"]))]
    tap.fact(not missing, f"{name}: the numbers of all {len(worst)} short findings are text",
             *missing)
    listed = [int(n) for n in re.findall(r"(?:^| )(\d+) (?:short|open|watch) (?=[A-Z])", text)]
    tap.fact(listed == list(range(1, len(listed) + 1)) and len(listed) >= len(worst),
             f"{name}: findings are numbered from 1 in the order in which they are read", listed)


def numbers_of(sentence):
    """What of a finding's sentence must be found: up to the place, which has its own column."""
    return [re.split(r", (?:at station|between stations)", sentence)[0].split(": ", 1)[1][:40]]


def paths_of(svg):
    """Stroked or filled paths of a page of pdftocairo, as boxes in pt: x, y, width, height, pen."""
    for element in ElementTree.parse(svg).iter():
        if not element.tag.endswith("}path") or "d" not in element.attrib:
            continue
        matrix = [1, 0, 0, 1, 0, 0]
        found = re.match(r"matrix\(([^)]*)\)", element.get("transform", ""))
        if found:
            matrix = [float(x) for x in re.split(r"[,\s]+", found.group(1).strip())]
        numbers = [float(x) for x in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", element.get("d"))]
        points = [(matrix[0] * x + matrix[2] * y + matrix[4],
                   matrix[1] * x + matrix[3] * y + matrix[5])
                  for x, y in zip(numbers[0::2], numbers[1::2])]
        if len(points) < 2:
            continue
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        yield min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)


def scale(tap, packer, bay, name):
    """A block of 100 mm in the drawing, and the scale bar, measure what the stated scale says."""
    with open(bay, encoding="utf-8") as file:
        document = file.read()
    # far behind everything, beside the duct in the side view
    block = ('<block id="bar" name="Bar" class="bar" mount="body" low="1120 700 480" '
             'high="1220 701 511"/>\n  </items>')
    path = os.path.join(packer.folder, "bar.bay")
    with open(path, "w", encoding="utf-8") as file:
        file.write(document.replace("</items>", block))
    pdf, _ = packer.pack(path, "--pages", "summary", "--paper", "A3")
    svg = os.path.join(packer.folder, "bar.svg")
    run(["pdftocairo", "-svg", "-f", "1", "-l", "1", pdf, svg], check=True)
    text = text_of(pdf, "-l", "1")
    paper, real = (int(x) for x in re.search(r"^(\d+):(\d+)$", text, re.M).groups())
    wanted = 100 * paper / real, 31 * paper / real
    boxes = [(w / PT, h / PT) for _, _, w, h in paths_of(svg)]
    near = min(abs(w - wanted[0]) + abs(h - wanted[1]) for w, h in boxes)
    tap.fact(near <= EXACT, f"{name}: 100 mm at {paper}:{real} are {wanted[0]:.1f} mm on paper",
             f"nearest is off by {near:.3f} mm")
    bar = int(re.search(r"^(\d+) mm$", text, re.M).group(1))
    off = min((abs(w - bar * paper / real) for w, h in boxes if h < 0.01), default=99)
    tap.fact(off <= EXACT, f"{name}: the scale bar of {bar} mm is as long as it says",
             f"off by {off:.3f} mm")


def same_bytes(tap, packer, bay):
    """Whatever the clock, the place and the zone: the same bay gives the same bytes."""
    first, _ = packer.pack(bay, "--paper", "A4")
    other = dict(packer.environment, TZ="Pacific/Auckland", HOME=packer.folder)
    again, _ = packer.pack(bay, "--paper", "A4", environment=other, cwd=packer.folder)
    with open(first, "rb") as one, open(again, "rb") as two:
        tap.fact(one.read() == two.read(), "the same bay gives the same bytes, elsewhere and later")
    with open(bay, encoding="utf-8") as file:
        date = re.findall(r'<revision [^>]*when="([^"]*)"', file.read())[-1]
    info = run(["pdfinfo", "-isodates", first], check=True).stdout.decode()
    tap.fact(f"CreationDate:    {date}" in info, "its date is that of the bay's revision", info)


def languages(tap, packer, bay, catalogues):
    if not shutil.which("localedef") or not os.path.exists("/usr/share/i18n/locales/de_DE"):
        tap.skip("the pack speaks German and Spanish", "no sources of locales")
        return
    for locale, sentences in LANGUAGES.items():
        run(["localedef", "-i", locale, "-f", "UTF-8",
             os.path.join(packer.folder, locale + ".UTF-8")])
        environment = dict(os.environ, LOCPATH=packer.folder, LC_ALL=locale + ".UTF-8",
                           TB_LOCALE_DIR=catalogues)
        environment.pop("LANGUAGE", None)
        pdf, _ = packer.pack(bay, "--paper", "A4", "--variant", "std-s",
                             environment=environment)
        text = words(text_of(pdf))
        for sentence in sentences:
            tap.fact(sentence in text, f"{locale}: the pack says `{sentence}`")
        structure(tap, pdf, locale)


def crowded(bay, folder):
    """A bay of 60 items, each with a name of 400 characters."""
    with open(bay, encoding="utf-8") as file:
        document = file.read()
    items = len(re.findall(r"<known ", document))
    more = "".join(
        f'<block id="more-{i}" name="More {i}" class="structure" mount="body" '
        f'low="{1500 + 12 * i} -700 {300 + 7 * i}" high="{1510 + 12 * i} -650 {330 + 7 * i}"/>\n'
        for i in range(60 - items))
    document = document.replace("</items>", more + "</items>")

    def lengthen(match):
        name = match.group(2)
        while len(name) < 400:
            name += " Ölrücklaufschlauch" if len(name) % 2 else " with-a-long-name_of_its/own"
        return match.group(1) + 'name="' + name[:400] + '"'

    document = re.sub(r'(<(?:duct|line|block|rod|ball|outline|turbo) id="[^"]*" )name="([^"]*)"',
                      lengthen, document)
    path = os.path.join(folder, "crowded.bay")
    with open(path, "w", encoding="utf-8") as file:
        file.write(document)
    return path


def inside(pdf, pages, margin):
    """Words that lie nearer to the paper's edge than margin mm, of some pages."""
    out = []
    text = text_of(pdf, "-bbox", "-f", str(pages[0]), "-l", str(pages[1]))
    for page in re.split(r"<page ", text)[1:]:
        width, height = (float(x) for x in re.match(r'width="([\d.]+)" height="([\d.]+)"',
                                                    page).groups())
        for word in re.finditer(r'xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" '
                                r'yMax="([-\d.]+)">([^<]*)<', page):
            x0, y0, x1, y1 = (float(x) for x in word.groups()[:4])
            if (x0 < margin * PT or y0 < (margin - 2) * PT or x1 > width - margin * PT or
                    y1 > height - (margin - 2) * PT):
                out.append(word.group(5))
    return out


def long_pack(tap, packer, bay):
    """Long names stay on the sheet, and hundreds of sheets take the room of a few."""
    path = crowded(bay, packer.folder)
    one = ["--paper", "A4", "--state", "cold", "--variant", "std-s"]
    few, least = packer.pack(path, *one, "--pages", "summary")
    many, most = packer.pack(path, *one)
    count = pages_of(many)
    tap.fact(count >= 200, f"60 items with names of 400 characters give {count} sheets")
    tap.fact(most - least < FLAT,
             f"{count} sheets take {most - least:.1f} MiB more than {pages_of(few)}",
             f"{least:.1f} and {most:.1f} MiB")
    out = inside(many, (1, 12), 5) + inside(many, (count - 12, count), 5)
    tap.fact(not out, "no word of it lies beyond its sheet", out[:5])
    check = run(["qpdf", "--check", many])
    tap.fact(check.returncode == 0, "qpdf finds nothing wrong with it", check.stderr.decode())


def main():
    program, examples, catalogues = (os.path.abspath(path) for path in sys.argv[1:4])
    tap = Tap()
    absent = [tool for tool in TOOLS if not shutil.which(tool)]
    if absent:
        print(f"1..0 # SKIP {' and '.join(absent)} not installed (poppler-utils, qpdf)")
        return
    with tempfile.TemporaryDirectory() as folder:
        packer = Packer(program, folder)
        for name, paper in (("van-b", "A4"), ("van-c", "A3"), ("pickup", "Letter")):
            bay = os.path.join(examples, name + ".bay")
            pdf, _ = packer.pack(bay, "--paper", paper)
            structure(tap, pdf, name)
            order(tap, program, bay, pdf, name)
        van = os.path.join(examples, "van-b.bay")
        scale(tap, packer, van, "van-b")
        same_bytes(tap, packer, van)
        languages(tap, packer, van, catalogues)
        long_pack(tap, packer, van)
    tap.end()


main()
