"""Two hundred names that try to be something else: markup, actions, control bytes, formulas, reordered lines.

All invented for the tests; `HOSTILE_NAMES` may already stand in a register, `TYPEABLE_NAMES` pass the entry forms.
"""

from appreg.core.values.text import clean
from appreg.errors import InputRefused

_MARKUP = (
    "[red]", "[red]x[/red]", "[b]bold[/b]", "[/]", "x [/] y", "[/red]", "[@click=app.quit]Q[/]", "[@click=app.bell]x[/]",
    "[link=http://127.0.0.1]x[/link]", "[link=file:///etc/passwd]x[/]", "[on red]x", "[reverse]x[/reverse]", "[blink]x",
    "[$primary]x[/]", "[#ff0000]x", "[bold red on white]x[/]", "[not a tag", "closing] only", "[[double]]", "\\[red]x",
    "[red", "[]", "[ ]", "[1]", "Bench [1] [b", "[@click=screen.dismiss(None)]", "[@click='app.exit']x[/]", "[u]x[/u] [i]y",
    "[red]Site A[/red]", "[/@]", "[@]", "[=]", "[a=b]", "[a='b']", '[a="b"]', "[^]", "[!]", "[text-style: bold]",
)  # fmt: skip
_CONTROL = (
    "\x1b[31mred", "\x1b[2J", "\x1b]0;title\x07", "\x1b]52;c;aGVsbG8=\x07", "\x1b]8;;http://127.0.0.1\x07x\x1b]8;;\x07",
    "\x1bc", "\x1b[?1049l", "\x1b[6n", "\x1bP+q544e\x1b\\", "\x1b_G\x1b\\", "\x9b31mred", "\x9d0;title\x9c", "\x90q\x9c",
    "a\x00b", "a\x01b", "a\x07b", "a\x08\x08b", "a\x0bb", "a\x0cb", "a\x0eb", "a\x0fb", "a\x1ab", "a\x7fb", "a\x80b", "a\x85b",
    "a\x9fb", "line\nbreak", "carriage\rreturn", "tab\tstop", "crlf\r\nx", "\x1b", "\x1b[", "\x18", "\x1b[999C", "\x1b[1;1H",
    "\x1b[38;2;1;2;3mx", "\x1b(0x", "\x1b#8", "\x1b[?25l", "\x1b[?1000h", "\x1b[20t",
)  # fmt: skip
_BIDI = (
    "\u202egnp.exe", "abc\u202edef", "\u202aabc", "\u202babc", "\u202cabc", "\u202dabc", "\u2066abc", "\u2067abc\u2069",
    "\u2068abc\u2069", "a\u200eb", "a\u200fb", "\u061cabc", "a\u200bb", "a\u2060b", "\ufeffabc", "a\u00adb", "a\u180eb",
    "a\u2028b", "a\u2029b", "a\u200cb", "a\u200db", "\ufff9x\ufffa", "\U000e0041x", "\ue000x", "\ufdd0x",
)  # fmt: skip
_FORMULA = (
    "=1+1", "+1", "-1", "@SUM(A1)", "=cmd|' /C calc'!A0", '=HYPERLINK("http://127.0.0.1")', "'=1+1", "''x", "'", "=", "+", "-",
    "@", "-ABC", "=1+1\tx", "\t=1+1", " =1+1", '"=1+1"', 'a"b', "a,b", "a;b", "a\nb,c", "%0A=1", "=\u202e1",
)  # fmt: skip
_SHELL_AND_SQL = (
    "'; DROP TABLE appliance; --", '" OR 1=1 --', "x' OR 'x'='x", "$(reboot)", "`reboot`", "; rm -rf x", "| cat", "&& ls",
    "> file", "../../etc/passwd", "C:\\windows\\x", "%s%s%n", "{0}", "{x.__class__}", "${HOME}", "$HOME", "~root", "-rf",
    "--help", "--", "*", "?", "NULL", "None", "nan", "true", "0", "1e999", "NEAR(a b)", "a AND", "OR", "NOT", "a*", '"a',
    "col:term", "^a", "(a", "a)", "<script>alert(1)</script>", "<b>x</b>", "&amp;", "&#x1b;", ") Tj ET (x", "(((", ")))", "\\",
    "\\n", "\\x1b[31m", "%PDF-1.7", "endstream",
)  # fmt: skip
_WIDE = (
    "Ωμέγα εργαστήριο", "Мастерская", "Łódź ąęś", "ẞtraße", "日本語の名前", "漢字" * 10, "한국어", "العربية", "עברית", "ไทย",
    "🔌", "👩‍🔧", "🇬🇧", "e\u0301", "a" * 300, "W" * 120, "word " * 60, "ﬁligature", "Ⅷ", "①", "ſ", "İi", "\u0345",
    "Z͑ͫ̓ͪ̂ͫ̽͏̴̙̤̞͉͚̯̞̠͍A̴̵̜̰͔ͫ͗͢L̠ͨͧͩ͘G̴̻͈͍͔̹̑͗̎̅͛́Ǫ̵̹̻̝̳͂̌̌͘!", "\u3000wide", "\u00a0nbsp",
)  # fmt: skip

HOSTILE_NAMES: tuple[str, ...] = tuple(dict.fromkeys((*_MARKUP, *_CONTROL, *_BIDI, *_FORMULA, *_SHELL_AND_SQL, *_WIDE)))

MARKUP_NAMES: tuple[str, ...] = tuple(name for name in HOSTILE_NAMES if "[" in name)
"""Those that a screen could take for a style or an action; what such a cell would do is seen inside the program alone."""


def _typeable(name: str) -> bool:
    try:
        return bool(clean(name, field="name"))
    except InputRefused:
        return False


TYPEABLE_NAMES: tuple[str, ...] = tuple(name for name in HOSTILE_NAMES if _typeable(name))
