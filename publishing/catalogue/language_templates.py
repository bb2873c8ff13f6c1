"""Templates of one language: what they say whatever the page is translated when they are compiled, not page by page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.utils import translation
from jinja2 import Environment, nodes
from jinja2.visitor import NodeTransformer


class LanguageEnvironment(Environment):
    """Compiles templates for one language. Calls of `spoken` with texts written in the template are made then, once."""

    def __init__(self, language: str, spoken: dict[str, Callable[..., str]], **options: Any) -> None:
        super().__init__(**options)
        self.language, self.spoken = language, spoken
        self.globals.update(spoken)

    def _parse(self, source: str, name: str | None, filename: str | None) -> nodes.Template:
        tree = super()._parse(source, name, filename)
        with translation.override(self.language):
            said: nodes.Template = _Saying(self.spoken).visit(tree)
        return said


class _Saying(NodeTransformer):
    """Puts what is said in the place of the call that says it."""

    def __init__(self, spoken: dict[str, Callable[..., str]]) -> None:
        self.spoken = spoken

    def visit_Call(self, node: nodes.Call) -> nodes.Node:
        """A call of one of the functions, with constant texts only."""
        self.generic_visit(node)
        given = node.args
        if (
            not isinstance(node.node, nodes.Name)
            or node.node.name not in self.spoken
            or node.kwargs or node.dyn_args or node.dyn_kwargs
            or not all(isinstance(one, nodes.Const) for one in given)
        ):  # fmt: skip
            return node
        words = self.spoken[node.node.name](*(one.value for one in given if isinstance(one, nodes.Const)))
        return nodes.Const(words, lineno=node.lineno)
