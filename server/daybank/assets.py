"""The shell of the phone app: every file with its content in its name, ready to be served and to be precached.

Reads the pwa folder once and gives a Shell: a table from address to bytes. A file named by its content can be kept for
ever, and a worker that lists such names changes exactly when one of the files does. The same folder gives the same
bytes on every machine; nothing here knows the time.

What is rewritten, and how:
- ES modules: the specifiers of `import ... from './x.js'`, `export ... from`, `import './x.js'` and `import('./x.js')`.
- Our own modules lose the comments that stand on lines of their own; the lines keep their numbers.
- CSS: `url(...)` and `@import`. Manifest: every `src`. Templates: `asset('js/main.js')`.
- `js/assets-map.js` is generated: ASSETS, with the address of each data file (words, demo, energy model, tables of
  units, interpreter) by name, for fetch(). It cannot hold our own scripts, since their names depend on it: where a
  script writes ASSETS['js/energy-worker.js'], to start a worker, the address itself is put in that place.
"""

import base64
import gzip
import hashlib
import json
import posixpath
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from daybank.bundle import bundle
from daybank.unit_tables import baked

MEDIA_TYPES = {
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".mjs": "text/javascript; charset=utf-8",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
}
ALREADY_COMPRESSED = (".png",)
# folder -> endings that belong to the shell; a drawing script beside the icons does not
SHELL_FOLDERS = {
    "css": (".css",),
    "demo": (".json",),
    "icons": (".png", ".svg"),
    "js": (".js",),
    "vendor": (".css", ".js", ".mjs", ".wasm"),
    "words": (".json",),
}
# No page draws with it yet; it would only lengthen the first load.
NOT_SENT_YET = ("vendor/uplot.js", "vendor/uplot.css")
ASSETS_MAP = "js/assets-map.js"
PAGES = {"/": "index.html", "/safe.html": "safe.html"}

# Anchored at the start of a line, so that prose in a comment is left alone.
STATIC_IMPORT = re.compile(r"""^[ \t]*(?:import|export)\b[^;'"`()]*?\bfrom\s*(['"])(?P<name>[^'"\n]+)\1"""
                           r"""|^[ \t]*import\s*(['"])(?P<bare>[^'"\n]+)\3""", re.MULTILINE)
DYNAMIC_IMPORT = re.compile(r"""\bimport\(\s*(['"])(?P<name>[^'"\n]+)\1""")
# Only what begins its line: a comment behind code, or one inside a string, is left alone.
OWN_LINE_COMMENT = re.compile(r"^[ \t]*//[^\n]*$|^[ \t]*/\*\*.*?\*/[ \t]*$", re.MULTILINE | re.DOTALL)
NAMED_SCRIPT = re.compile(r"""\bASSETS\[(['"])(?P<name>js/[^'"\n]+)\1\]""")
CSS_ADDRESS = re.compile(r"""url\(\s*(['"]?)(?P<name>[^'")\s]+)\1\s*\)|@import\s+(['"])(?P<bare>[^'"\n]+)\3""")


class AssetError(ValueError):
    """The pwa folder does not fit together; the sentence names the file and what to do."""


@dataclass(frozen=True)
class Asset:
    """One address of the shell with its bytes, plain and gzipped (None where gzip gains nothing)."""

    url: str
    media_type: str
    body: bytes
    gzipped: bytes | None
    immutable: bool

    @property
    def digest(self) -> str:
        return hashlib.sha256(self.body).hexdigest()

    @property
    def integrity(self) -> str:
        """As in Subresource Integrity, so that a hotel's login page is never taken for one of our files."""
        return "sha256-" + base64.b64encode(hashlib.sha256(self.body).digest()).decode()


@dataclass(frozen=True)
class Shell:
    """All addresses of the app, and the address of each file by its name in the pwa folder."""

    assets: dict[str, Asset]
    urls: dict[str, str]
    build: str

    def asset(self, name: str) -> str:
        """Address of a file of the pwa folder, such as asset('js/main.js'). AssetError for a name it lacks."""
        return address_in(self.urls, name, "a page")


def pwa_dir() -> Path:
    """The pwa folder: inside the installed package, or beside server/ in a checkout."""
    package = Path(__file__).resolve().parent
    for folder in (package / "pwa", package.parent.parent / "pwa"):
        if (folder / "templates").is_dir():
            return folder
    raise AssetError(f"No pwa folder with templates was found in {package} or beside it; install Daybank again.")


def build_shell(pwa: Path | None = None, model: bytes | None = None) -> Shell:
    """Reads the pwa folder (the installed one by default) and puts the shell together.

    `model` stands in for the energy bundle in tests. Raises AssetError where a file names one that is not there, where
    modules import one another in a ring, or where the libraries have not been fetched.
    """
    pwa = pwa or pwa_dir()
    sources = {name: (pwa / name).read_bytes() for name in shell_files(pwa)}
    if not any(name.startswith("vendor/") for name in sources):
        raise AssetError(f"{pwa / 'vendor'} is empty, so the phone's libraries are missing; run `pip install -e .` in "
                         "the project's folder, which fetches them.")
    sources["energy.json"] = bundle() if model is None else model
    sources["units.json"] = baked()
    builder = _Builder(sources)
    for name in sorted(sources):
        builder.add(name)
    builder.add(ASSETS_MAP)
    assets = {asset.url: asset for asset in builder.assets.values()}
    urls = dict(builder.urls)
    manifest = pwa / "manifest.webmanifest"
    if manifest.is_file():
        body = rewritten_manifest(manifest.read_text(encoding="utf-8"), urls)
        assets["/manifest.webmanifest"] = make_asset("/manifest.webmanifest", body, immutable=False)
    for url, body in rendered_pages(pwa, urls):
        assets[url] = make_asset(url, body, immutable=False)
    build, worker = worker_script((pwa / "sw.js").read_text(encoding="utf-8"), assets)
    assets["/sw.js"] = make_asset("/sw.js", worker, immutable=False)
    return Shell(assets=assets, urls=urls, build=build)


def kill_worker(pwa: Path | None = None) -> Asset:
    """The worker that removes itself and its caches, to be served as /sw.js in an emergency."""
    return make_asset("/sw.js", ((pwa or pwa_dir()) / "kill-sw.js").read_bytes(), immutable=False)


def shell_files(pwa: Path) -> list[str]:
    """Names of the shell's files, relative to the pwa folder, sorted."""
    found = sorted(file.relative_to(pwa).as_posix()
                   for folder, endings in SHELL_FOLDERS.items()
                   for file in (pwa / folder).rglob("*")
                   if file.is_file() and file.suffix in endings and not file.name.startswith("."))
    return [name for name in found if name not in NOT_SENT_YET]


def hashed_url(name: str, body: bytes) -> str:
    """/static/js/main.1f2e3d4c.js for js/main.js: eight hex digits of the content's SHA-256."""
    stem, ending = posixpath.splitext(name)
    return f"/static/{stem}.{hashlib.sha256(body).hexdigest()[:8]}{ending}"


def make_asset(url: str, body: bytes, *, immutable: bool) -> Asset:
    ending = posixpath.splitext(url)[1] or ".html"
    gzipped = None
    if ending not in ALREADY_COMPRESSED:
        gzipped = gzip.compress(body, 9, mtime=0)  # mtime 0: the same bytes each time
        gzipped = gzipped if len(gzipped) < len(body) else None
    return Asset(url, MEDIA_TYPES[ending], body, gzipped, immutable)


class _Builder:
    """Gives each file its address after the files it names, since its own content, and so its name, holds theirs."""

    def __init__(self, sources: dict[str, bytes]):
        self.sources = sources
        self.assets: dict[str, Asset] = {}
        self.urls: dict[str, str] = {}
        self.under_way: list[str] = []

    def add(self, name: str) -> str:
        if name in self.urls:
            return self.urls[name]
        if name in self.under_way:
            ring = " -> ".join([*self.under_way[self.under_way.index(name):], name])
            raise AssetError(f"The modules {ring} import one another in a ring; move what they share into a file of "
                             "its own.")
        self.under_way.append(name)
        body = self.body_of(name)
        self.under_way.pop()
        url = hashed_url(name, body)
        self.assets[name] = make_asset(url, body, immutable=True)
        self.urls[name] = url
        return url

    def body_of(self, name: str) -> bytes:
        if name == ASSETS_MAP:
            return self.assets_map()
        body = self.sources[name]
        if name.startswith("js/"):
            return rewritten_module(name, without_comments(body.decode()), self.address_of).encode()
        if name.endswith(".css"):
            return rewritten_css(name, body.decode(), self.address_of).encode()
        return body

    def address_of(self, name: str, wanted: str) -> str:
        if wanted != ASSETS_MAP and wanted not in self.sources:
            raise AssetError(f"pwa/{name} names {wanted}, which is not in the pwa folder; correct the name there or "
                             "add the file.")
        return self.add(wanted)

    def assets_map(self) -> bytes:
        """Module with the addresses of what scripts fetch: no scripts of our own, whose names depend on this one."""
        named = [name for name in sorted(self.sources) if not name.startswith(("js/", "css/"))]
        table = {short_name(name): self.add(name) for name in named}
        return f"// Made by the build: name of a file -> its address.\nexport const ASSETS = {_json(table)};\n".encode()


def short_name(name: str) -> str:
    """Libraries and demo files go by their bare names: 'micropython.wasm', 'demo.json', but 'words/en.json'."""
    folder, _, rest = name.partition("/")
    return rest if folder in ("vendor", "demo") else name


def rewritten_module(name: str, text: str, address_of: Callable[[str, str], str]) -> str:
    """An ES module with the addresses of the files that it imports. AssetError for a bare name such as 'idb'."""
    def put(match: re.Match) -> str:
        wanted = _named(match)
        if not wanted.startswith("."):
            raise AssetError(f"pwa/{name} imports {wanted!r}, which a browser cannot find; write the path, such as "
                             "'../vendor/idb.js'.")
        return match.group().replace(wanted, address_of(name, _relative(name, wanted)))

    def put_unless_comment(match: re.Match) -> str:
        before = match.string[match.string.rfind("\n", 0, match.start()) + 1:match.start()]
        in_comment = "//" in before or "/*" in before or before.lstrip().startswith("*")
        return match.group() if in_comment else put(match)  # JSDoc types are written as import('./x.js').Type

    text = DYNAMIC_IMPORT.sub(put_unless_comment, STATIC_IMPORT.sub(put, text))
    return NAMED_SCRIPT.sub(lambda match: json.dumps(address_of(name, match.group("name"))), text)


def without_comments(text: str) -> str:
    """A module of ours without comments that fill whole lines, each remaining line where it was.

    No string or template of ours has a line that begins with // or /**; a test looks for one.
    """
    return OWN_LINE_COMMENT.sub(lambda match: "\n" * match.group().count("\n"), text)


def rewritten_css(name: str, text: str, address_of: Callable[[str, str], str]) -> str:
    """A style sheet with the addresses of the files that it names; data: and #fragment are left alone."""
    def put(match: re.Match) -> str:
        wanted = _named(match)
        if wanted.startswith(("data:", "#")):
            return match.group()
        return match.group().replace(wanted, address_of(name, _relative(name, wanted)))

    return CSS_ADDRESS.sub(put, text)


def rewritten_manifest(text: str, urls: dict[str, str]) -> bytes:
    """The web app manifest with the addresses of its icons, wherever a `src` stands."""
    def walk(value):
        if isinstance(value, dict):
            return {key: address_in(urls, item.lstrip("./"), "manifest.webmanifest") if key == "src" else walk(item)
                    for key, item in value.items()}
        return [walk(item) for item in value] if isinstance(value, list) else value
    return _json(walk(json.loads(text))).encode()


def rendered_pages(pwa: Path, urls: dict[str, str]) -> Iterator[tuple[str, bytes]]:
    """The pages, rendered once: they hold no data, so that every person gets the same bytes."""
    import jinja2  # here, since the command line reads this module for pwa_dir() and should start quickly
    environment = jinja2.Environment(loader=jinja2.FileSystemLoader(pwa / "templates"), autoescape=True,
                                     undefined=jinja2.StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    for url, template in PAGES.items():
        try:
            page = environment.get_template(template)
            text = page.render(asset=lambda name, page=template: address_in(urls, name, page))
        except jinja2.TemplateError as fault:
            sentence = f"The template {template} cannot be rendered ({fault}); correct it in pwa/templates."
            raise AssetError(sentence) from fault
        yield url, text.encode()


def address_in(urls: dict[str, str], name: str, who: str) -> str:
    if name not in urls:
        raise AssetError(f"{who} asks for {name}, which is not in the pwa folder; correct the name there or add the "
                         "file.")
    return urls[name]


def worker_script(template: str, assets: dict[str, Asset]) -> tuple[str, bytes]:
    """Build id and source of sw.js: the template with the list of all addresses and their integrity."""
    files = {url: assets[url].integrity for url in sorted(assets)}
    listed = json.dumps(files, indent=1)
    build = hashlib.sha256((listed + template).encode()).hexdigest()[:12]
    for mark in ("'BUILD'", "{ FILES: '' }"):
        if template.count(mark) != 1:
            raise AssetError(f"pwa/sw.js must hold {mark} exactly once, as the place for what the build knows.")
    return build, template.replace("'BUILD'", f"'{build}'").replace("{ FILES: '' }", listed).encode()


def _named(match: re.Match) -> str:
    return match.group("name") or match.group("bare")


def _relative(name: str, wanted: str) -> str:
    return posixpath.normpath(posixpath.join(posixpath.dirname(name), wanted))


def _json(value) -> str:
    return json.dumps(value, indent=1, sort_keys=True, ensure_ascii=False)
