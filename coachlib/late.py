"""Packages that others ask for and nobody here uses: they load when something of them is called.

``rfc3987_syntax`` builds a grammar of internationalised addresses while it is imported, which takes longer
than everything else a workbook needs.  jsonschema asks for it on behalf of nbformat and altair, and would check
such addresses with it; no file of ours has one.  ``numpy.f2py``, which reads Fortran, is loaded by scipy with
everything else that numpy names.
"""

import importlib.util
import sys
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, PathFinder
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from importlib.abc import Loader, MetaPathFinder
else:  # the two ask for nothing but the methods below, and importing them is a sixth of the time that help takes
    Loader = MetaPathFinder = object

#: What is kept out.  This project's own choice, measured: 4.1 of 7.0 s of importing the trace editor.
LATE = frozenset({"rfc3987_syntax", "numpy.f2py"})


def keep_out() -> None:
    """Let the packages of ``LATE`` load when something of them is called; doing it twice changes nothing.

    Examples
    --------
    >>> keep_out()
    >>> import rfc3987_syntax
    >>> rfc3987_syntax.is_valid_syntax("iri", "https://example.org/")
    True
    """
    if not any(isinstance(finder, _LateFinder) for finder in sys.meta_path):
        sys.meta_path.insert(0, _LateFinder())


class _LateFinder(MetaPathFinder):
    """Finds a stand-in where the package itself would be found."""

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname not in LATE or (real := PathFinder.find_spec(fullname, path, target)) is None:
            return None
        spec = ModuleSpec(fullname, _StandInLoader(real), origin=real.origin)
        spec.submodule_search_locations = real.submodule_search_locations
        return spec


class _StandInLoader(Loader):
    def __init__(self, real: ModuleSpec) -> None:
        self._real = real

    def create_module(self, spec: ModuleSpec) -> "_StandIn":
        return _StandIn(self._real)

    def exec_module(self, module: ModuleType) -> None:
        """Nothing: the package itself runs when it is called."""


class _StandIn(ModuleType):
    """Whatever is asked of it is a function that loads the package and calls what was meant."""

    def __init__(self, real: ModuleSpec) -> None:
        super().__init__(real.name)
        self._real = real

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)

        def call_the_real(*values: Any, **named: Any) -> Any:
            return getattr(self._loaded(), name)(*values, **named)

        return call_the_real

    def _loaded(self) -> ModuleType:
        """The package itself, which takes this module's place."""
        here = sys.modules.get(self._real.name)
        if here is not None and here is not self:
            return here
        assert self._real.loader is not None
        module = importlib.util.module_from_spec(self._real)
        sys.modules[self._real.name] = module
        self._real.loader.exec_module(module)
        return module
