"""What the commands `rigfile`, `import`, `export` and `integrity` take; apart, so that --help loads no database."""
import argparse


def add_rigfile_arguments(parser: argparse.ArgumentParser) -> None:
    """What `daybank rigfile` takes."""
    does = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    check = does.add_parser("check", help="tell every fault of a rig file, with its line",
                            description="Tell every fault of a rig file, with its line.")
    check.add_argument("file", help="a rig file (TOML)")


def add_import_arguments(parser: argparse.ArgumentParser) -> None:
    """What `daybank import` takes."""
    parser.add_argument("file", help="a rig file (.toml), an export (.json) or a part of the logbook (.csv)")
    parser.add_argument("--yes", action="store_true", help="write it; without this, only show what would be written")
    parser.add_argument("--rig", metavar="NAME", help="the rig here that the file belongs to (needed for .csv if "
                        "there are several)")
    parser.add_argument("--new", action="store_true", help="take it as a new rig, even if one here has the same name")
    parser.add_argument("--update", action="store_true", help="where a record here differs, take the file's")
    parser.add_argument("--skip-refused", action="store_true", help="with --yes: write the good rows of a .csv "
                        "although others are refused")
    _add_place(parser)


def add_export_arguments(parser: argparse.ArgumentParser) -> None:
    """What `daybank export` takes."""
    parser.add_argument("--rig", metavar="NAME", help="which rig, if there are several")
    parser.add_argument("-o", "--output", metavar="FILE", help="write to this file instead of printing")
    parser.add_argument("--csv", metavar="DIR", help="write the logbook as CSV files into this folder instead")
    parser.add_argument("--overwrite", action="store_true", help="replace files that are there already")
    _add_place(parser)


def add_integrity_arguments(parser: argparse.ArgumentParser) -> None:
    """What `daybank integrity` takes."""
    _add_place(parser)


def _add_place(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--data", metavar="DIR", help="the data folder (default: DAYBANK_DATA, else the system's place "
                        "for a person's data)")
