"""The runner's own option: more case files on the command line."""


def pytest_addoption(parser):
    parser.addoption(
        "--cases",
        action="append",
        default=[],
        metavar="FILE",
        help="one more JSON file of published cases (may be given several times)",
    )
