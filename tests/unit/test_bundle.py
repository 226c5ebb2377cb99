import ast
import json

import pytest

from daybank.bundle import PACKAGE, bundle, lean

SHARED_FILES = sorted([*(PACKAGE / "energy").glob("*.py"), *(PACKAGE / "upkeep").glob("*.py")])


def without_docstrings(source: str) -> str:
    """The program's tree with line numbers, its docstrings taken out."""
    tree = ast.parse(source)
    for node in ast.walk(tree):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef)):
            if ast.get_docstring(node, clean=False) is not None:
                del node.body[0]
            # what stands in for a docstring that was the whole body
            node.body = [item for item in node.body
                         if not (isinstance(item, ast.Expr) and isinstance(item.value, ast.Constant))]
            for name in ("end_lineno", "end_col_offset"):
                if hasattr(node, name):
                    delattr(node, name)  # a body that ended in its docstring ends earlier
    return ast.dump(tree, include_attributes=True)


def test_there_are_shared_files_to_bundle():
    assert len(SHARED_FILES) >= 5


@pytest.mark.parametrize("file", SHARED_FILES, ids=lambda file: file.name)
def test_the_lean_source_is_the_same_program_line_for_line(file):
    source = file.read_text()
    assert without_docstrings(lean(source)) == without_docstrings(source)
    assert len(lean(source)) < len(source)


def test_comments_and_docstrings_go_and_lines_keep_their_numbers():
    source = '"""Module.\n\nMore."""\n# why\nx = 1  # one\n\ndef f(a):\n    """Says."""\n    return a + x\n'
    assert lean(source) == "\n\n\n\nx = 1\n\ndef f(a):\n\n    return a + x\n"


def test_a_body_that_was_only_a_docstring_still_has_a_statement():
    assert lean('class Flat(ValueError):\n    """The bank was flat."""\n') == "class Flat(ValueError):\n    0\n"


def test_hashes_and_quotes_inside_strings_stay():
    source = 'colour = "#fff"  # white\ntext = """# not a comment\nsecond"""\n'
    assert lean(source) == 'colour = "#fff"\ntext = """# not a comment\nsecond"""\n'


def test_a_docstring_on_the_line_of_its_function_is_left_alone():
    source = 'def f(): "says"\n'
    assert lean(source) == source


def test_letters_outside_ascii_do_not_shift_the_cut():
    assert lean("a = 'grün'  # grün\nb = 2  # ½\n") == "a = 'grün'\nb = 2\n"


def test_the_bundle_holds_each_shared_file_under_its_import_path():
    content = json.loads(bundle())
    assert content["files"]["daybank/__init__.py"] == ""
    assert {f"daybank/{file.parent.name}/{file.name}" for file in SHARED_FILES} <= set(content["files"])


def test_the_version_follows_the_content(tmp_path):
    (tmp_path / "energy").mkdir()
    file = tmp_path / "energy" / "bank.py"
    file.write_text("x = 1\n")
    first = json.loads(bundle(tmp_path))["version"]
    assert bundle(tmp_path) == bundle(tmp_path)
    file.write_text("x = 1  # a remark changes nothing for the phone\n")
    assert json.loads(bundle(tmp_path))["version"] == first
    file.write_text("x = 2\n")
    assert json.loads(bundle(tmp_path))["version"] != first
