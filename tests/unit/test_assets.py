import base64
import gzip
import hashlib
import json
import re
import subprocess

import pytest

from daybank import assets
from daybank.assets import (
    OWN_LINE_COMMENT,
    AssetError,
    build_shell,
    rewritten_css,
    rewritten_module,
    without_comments,
)

MODEL = b'{"version":"none","files":{}}'


def put_stars(_, wanted):
    return f"/*{wanted}*"


def shell_of(folder):
    return build_shell(folder, model=MODEL)


# names and addresses

def test_an_address_holds_eight_digits_of_the_contents_hash(small_pwa):
    shell = shell_of(small_pwa)
    body = (small_pwa / "icons/dot.svg").read_bytes()
    assert shell.asset("icons/dot.svg") == f"/static/icons/dot.{hashlib.sha256(body).hexdigest()[:8]}.svg"


def test_the_same_folder_gives_the_same_bytes(small_pwa):
    assert shell_of(small_pwa).assets == shell_of(small_pwa).assets


def test_a_change_in_a_module_renames_all_that_import_it_and_nothing_else(small_pwa):
    before = shell_of(small_pwa).urls
    (small_pwa / "js/parts/twice.js").write_text("export const twice = (number) => number + number;\n")
    after = shell_of(small_pwa).urls
    assert {name for name in before if before[name] != after[name]} == {"js/main.js", "js/parts/twice.js"}


def test_a_change_in_a_data_file_reaches_the_map_and_the_scripts_that_read_it(small_pwa):
    before = shell_of(small_pwa).urls
    (small_pwa / "words/en.json").write_text('{"hello": "Hullo"}')
    after = shell_of(small_pwa).urls
    assert {name for name in before if before[name] != after[name]} == {
        "js/main.js", "js/assets-map.js", "words/en.json"}


def test_only_files_for_the_phone_are_in_the_shell(small_pwa):
    (small_pwa / "js/.main.js.swp").write_text("an editor's")
    (small_pwa / "vendor/stamp").write_text("0")
    names = set(shell_of(small_pwa).urls)
    assert "icons/dot.svg" in names
    assert not {"icons/draw.py", "js/.main.js.swp", "vendor/stamp"} & names


def test_text_is_gzipped_and_comes_back_whole(small_pwa):
    (small_pwa / "js/long.js").write_text("long();\n" * 100)
    shell = shell_of(small_pwa)
    asset = shell.assets[shell.asset("js/long.js")]
    assert len(asset.gzipped) < len(asset.body) == 800
    assert gzip.decompress(asset.gzipped) == asset.body


def test_a_file_that_gzip_would_lengthen_is_kept_plain(small_pwa):
    shell = shell_of(small_pwa)
    assert shell.assets[shell.asset("demo/demo.json")].gzipped is None


def test_an_unknown_name_in_a_page_is_refused_with_the_pages_name(small_pwa):
    (small_pwa / "templates/index.html").write_text("{{ asset('js/mian.js') }}")
    with pytest.raises(AssetError, match="index.html asks for js/mian.js, which is not in the pwa folder; correct"):
        shell_of(small_pwa)


def test_missing_libraries_are_named_as_such(small_pwa):
    (small_pwa / "vendor/idb.js").unlink()
    with pytest.raises(AssetError, match="the phone's libraries are missing; run `pip install -e .`"):
        shell_of(small_pwa)


# modules

@pytest.mark.parametrize("before, after", [
    ("import { a } from './a.js';", "import { a } from '/*js/a.js*';"),
    ('import { a } from "./a.js";', 'import { a } from "/*js/a.js*";'),
    ("import './a.js';", "import '/*js/a.js*';"),
    ("import * as a from '../vendor/a.mjs';", "import * as a from '/*vendor/a.mjs*';"),
    ("import {\n  a,\n  b,\n} from './parts/a.js';", "import {\n  a,\n  b,\n} from '/*js/parts/a.js*';"),
    ("export { a } from './a.js';", "export { a } from '/*js/a.js*';"),
    ("const a = await import('./a.js');", "const a = await import('/*js/a.js*');"),
    ("new Worker(ASSETS['js/work.js'], { type: 'module' });", 'new Worker("/*js/work.js*", { type: \'module\' });'),
])
def test_a_specifier_becomes_an_address(before, after):
    assert rewritten_module("js/main.js", before, put_stars) == after


@pytest.mark.parametrize("text", [
    "// import { a } from './a.js' is how it was",
    "/** @type {import('./a.js').A} */",
    " * @param {import('./a.js').A} a",
    "const text = `an import from './a.js'`;",
    "export const name = 'from';",
    "export const f = (x) => x; // taken from './a.js'",
    "fetch(ASSETS['words/en.json']);",
    "const python = `\nimport json\nfrom daybank.energy import sun\n`;",
])
def test_what_is_no_import_is_left_alone(text):
    assert rewritten_module("js/main.js", text, put_stars) == text


def test_a_bare_specifier_is_refused_since_no_browser_finds_it():
    with pytest.raises(AssetError, match="pwa/js/main.js imports 'idb', which a browser cannot find; write the path"):
        rewritten_module("js/main.js", "import { openDB } from 'idb';", put_stars)


def test_an_import_of_a_missing_file_names_both_files(small_pwa):
    (small_pwa / "js/parts/twice.js").write_text("import '../nowhere.js';\n")
    with pytest.raises(AssetError, match="pwa/js/parts/twice.js names js/nowhere.js, which is not in the pwa folder"):
        shell_of(small_pwa)


def test_a_ring_of_imports_is_refused_and_drawn(small_pwa):
    (small_pwa / "js/a.js").write_text("import './b.js';\n")
    (small_pwa / "js/b.js").write_text("import './a.js';\n")
    with pytest.raises(AssetError, match="js/a.js -> js/b.js -> js/a.js import one another in a ring"):
        shell_of(small_pwa)


def test_the_map_gives_data_files_and_libraries_by_name(small_pwa):
    shell = shell_of(small_pwa)
    text = shell.assets[shell.asset("js/assets-map.js")].body.decode()
    table = json.loads(text[text.index("{"):text.rindex("}") + 1])
    assert table == {"demo.json": shell.asset("demo/demo.json"), "energy.json": shell.asset("energy.json"),
                     "icons/dot.svg": shell.asset("icons/dot.svg"), "idb.js": shell.asset("vendor/idb.js"),
                     "units.json": shell.asset("units.json"), "words/en.json": shell.asset("words/en.json")}


# style sheets, manifest, pages

@pytest.mark.parametrize("before, after", [
    ("a { b: url(../icons/x.svg) }", "a { b: url(/*icons/x.svg*) }"),
    ("a { b: url('x.svg') }", "a { b: url('/*css/x.svg*') }"),
    ("@import 'tokens.css';", "@import '/*css/tokens.css*';"),
    ("@import url(tokens.css);", "@import url(/*css/tokens.css*);"),
    ("a { b: url(data:image/png;base64,AA) }", "a { b: url(data:image/png;base64,AA) }"),
    ("a { fill: url(#dusk) }", "a { fill: url(#dusk) }"),
])
def test_a_style_sheets_addresses_are_put_in(before, after):
    assert rewritten_css("css/base.css", before, put_stars) == after


def test_the_manifest_names_its_icons_by_their_addresses(small_pwa):
    shell = shell_of(small_pwa)
    manifest = json.loads(shell.assets["/manifest.webmanifest"].body)
    assert manifest["icons"][0]["src"] == shell.asset("icons/dot.svg")
    assert manifest["name"] == "Small"


def test_the_page_names_its_script_by_its_address(small_pwa):
    shell = shell_of(small_pwa)
    assert shell.asset("js/main.js").encode() in shell.assets["/"].body


@pytest.mark.parametrize("text, said", [("{{ nothing }}", "'nothing' is undefined"), ("{% if %}", "Expected an expr")])
def test_a_template_that_cannot_be_rendered_is_named(small_pwa, text, said):
    (small_pwa / "templates/safe.html").write_text(text)
    with pytest.raises(AssetError, match=f"The template safe.html cannot be rendered .*{said}.*; correct it in"):
        shell_of(small_pwa)


# the worker

def listed(shell):
    worker = shell.assets["/sw.js"].body.decode()
    return json.loads(re.search(r"const FILES = (\{.*?\});", worker, re.DOTALL)[1])


def test_the_worker_lists_every_address_but_its_own(small_pwa):
    shell = shell_of(small_pwa)
    assert set(listed(shell)) == set(shell.assets) - {"/sw.js"}


def test_the_workers_list_holds_the_hash_of_what_is_served(small_pwa):
    shell = shell_of(small_pwa)
    for url, integrity in listed(shell).items():
        digest = hashlib.sha256(shell.assets[url].body).digest()
        assert integrity == "sha256-" + base64.b64encode(digest).decode()


def test_a_page_that_changes_makes_a_new_worker_though_its_address_stays(small_pwa):
    before = shell_of(small_pwa)
    (small_pwa / "templates/safe.html").write_text("<!doctype html><title>safer</title>")
    after = shell_of(small_pwa)
    assert before.build != after.build
    assert before.assets["/sw.js"].body != after.assets["/sw.js"].body
    assert after.build.encode() in after.assets["/sw.js"].body


def test_a_worker_without_room_for_the_list_is_refused(small_pwa):
    (small_pwa / "sw.js").write_text("// nothing\n")
    with pytest.raises(AssetError, match="pwa/sw.js must hold 'BUILD' exactly once"):
        shell_of(small_pwa)


# the project's own folder

def test_the_projects_own_shell_fits_together():
    shell = build_shell()
    assert {"/", "/safe.html", "/sw.js", "/manifest.webmanifest"} <= set(shell.assets)
    assert {"energy.json", "units.json", "vendor/micropython.wasm", "vendor/idb.js", "words/en.json"} <= set(shell.urls)


def test_every_committed_file_for_the_phone_is_in_the_shell(repository):
    listing = subprocess.run(["git", "ls-files", "pwa"], cwd=repository, capture_output=True, text=True, check=True)
    committed = {name.removeprefix("pwa/") for name in listing.stdout.split()}
    apart = {name for name in committed if name.startswith("templates/") or name.endswith((".py", ".npmrc"))
             or name in ("manifest.webmanifest", "package.json", "package-lock.json", "sw.js", "kill-sw.js")}
    assert committed - apart <= set(build_shell().urls)


def test_comments_on_lines_of_their_own_stay_at_home_and_lines_keep_their_numbers():
    text = ("// what it is\nconst a = 1; // stays\n/**\n * @returns {number}\n */\nexport const b = 'http://x';\n"
            "  // why\n")
    assert without_comments(text) == "\nconst a = 1; // stays\n\n\n\nexport const b = 'http://x';\n\n"


def test_no_template_of_ours_has_a_line_that_would_be_taken_for_a_comment(repository):
    """Backticks before the line, comments taken out, come in pairs."""
    for file in sorted((repository / "pwa" / "js").rglob("*.js")):
        text = file.read_text(encoding="utf-8")
        bare = without_comments(text)
        assert bare.count("`") % 2 == 0 and bare.count("\n") == text.count("\n"), file
        for match in OWN_LINE_COMMENT.finditer(text):
            assert without_comments(text[:match.start()]).count("`") % 2 == 0, f"{file.name}: {match.group()[:60]}"


def test_the_first_load_stays_within_its_budget():
    """450 KB compressed for all of it, the interpreter included (KB = 1000 bytes, gzip)."""
    sizes = {asset.url: len(asset.gzipped or asset.body) for asset in build_shell().assets.values()}
    assert sum(sizes.values()) <= 450_000, sorted(sizes.items(), key=lambda item: -item[1])[:10]


def test_a_folder_without_templates_is_not_taken_for_the_pwa_folder(monkeypatch, tmp_path):
    monkeypatch.setattr(assets, "__file__", str(tmp_path / "server/daybank/assets.py"))
    (tmp_path / "pwa/js").mkdir(parents=True)
    with pytest.raises(AssetError, match="No pwa folder with templates was found in .*; install Daybank again"):
        assets.pwa_dir()
