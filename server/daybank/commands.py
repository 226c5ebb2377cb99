"""The commands `forecast` and `trial`: read arguments and files, call, print. Exit status 0, 1 or 2."""
import argparse
import json
import sys
import time
from pathlib import Path

from daybank.strict_json import MAX_BYTES, Refusal

GOOD, FAILED, BAD_INPUT = 0, 1, 2
MEMBERS_FORECAST = 400  # half a second for a week of notes; 800 took 0.6 s of one core
MEMBERS_TRIAL = 400


def add_forecast_arguments(parser: argparse.ArgumentParser) -> None:
    """What `daybank forecast` takes."""
    parser.add_argument("file", help="an export file (daybank-export/1), or - for standard input")
    parser.add_argument("--json", action="store_true", help="print the whole answer as JSON")
    parser.add_argument(
        "--at", metavar="T", help="ask as on that moment, such as 2025-07-08T20:10-06:00; later records are left out"
    )
    parser.add_argument(
        "--members", type=_count, default=MEMBERS_FORECAST, help="size of the ensemble (default %(default)s)"
    )
    parser.add_argument("--seed", type=_count, default=1, help="seed of the draws (default %(default)s)")


def add_trial_arguments(parser: argparse.ArgumentParser) -> None:
    """What `daybank trial` takes."""
    parser.add_argument("folder", help="a folder of stories: export files with a truth")
    parser.add_argument("--only", metavar="PREFIX", default="", help="only stories whose name begins with this")
    parser.add_argument(
        "--members", type=_count, default=MEMBERS_TRIAL, help="size of the ensemble (default %(default)s)"
    )
    parser.add_argument("--seed", type=_count, default=1, help="seed of the draws (default %(default)s)")
    parser.add_argument("--jobs", type=_count, default=2, help="processes at a time (default %(default)s)")
    parser.add_argument("--json", action="store_true", help="print the scores of every story instead of the table")
    parser.add_argument("--html", metavar="FILE", help="also write a page with every story's band against its truth")
    parser.add_argument("--dump", metavar="FILE", help="also write the scores of every story as JSON")
    parser.add_argument("--against", metavar="FILE", help="also compare with an earlier --dump, by a paired bootstrap")
    parser.add_argument("--progress", action="store_true", help="show progress even when standard error is no terminal")


def forecast_command(args: argparse.Namespace) -> int:
    """Answers from one file: prints the answer as JSON, or as a person reads it."""
    from daybank import local_days, records
    try:
        export = records.read_export(sys.stdin.buffer.read(MAX_BYTES + 1) if args.file == "-" else Path(args.file))
        question = records.question_from_export(export, _moment_asked(args, export), ignore_later=args.at is not None)
        from daybank.energy import forecast
        answer = forecast.answer(question, members=args.members, seed=args.seed)
    except ValueError as refusal:
        return _refuse(str(refusal))
    if args.json:
        print(json.dumps(answer, indent=1, allow_nan=False))
        return GOOD
    from daybank import report, words
    tz = local_days.zone(export["rig"]["timezone"])
    print(report.text(answer, question, words.Words(words.tables(), tz)))
    return GOOD


def _moment_asked(args: argparse.Namespace, export: dict) -> float | None:
    """--at, else None for the file's own moment, else now."""
    from daybank import local_days
    if args.at is not None:
        try:
            return local_days.seconds(args.at)
        except (ValueError, OverflowError):
            raise Refusal(
                "--at", f"{args.at!r} was given; accepted is a moment with its offset, such as 2025-07-08T20:10-06:00; "
                "write it so",
            ) from None
    return None if "asked_at" in export else int(time.time())


def trial_command(args: argparse.Namespace) -> int:
    """Runs a folder of stories and prints the table."""
    from daybank import trial, trial_table
    folder = Path(args.folder)
    paths = sorted(str(p) for p in folder.glob(f"{args.only}*.json")) if folder.is_dir() else []
    if not paths:
        wanted = f" named {args.only}*.json" if args.only else ""
        return _refuse(
            f"{args.folder} holds no stories{wanted}; accepted is a folder of export files with a truth; name that one"
        )
    try:
        earlier = _read_dump(args.against) if args.against else None
    except (OSError, ValueError, KeyError, TypeError) as error:
        return _refuse(
            f"{args.against} is no earlier result ({error}); accepted is a file written by --dump; give that"
        )
    bar = Progress(sys.stderr, shown=args.progress or sys.stderr.isatty())
    results = trial.run_trial(paths, members=args.members, seed=args.seed, jobs=args.jobs, on_story=bar.step)
    bar.done()
    dump = {"members": args.members, "seed": args.seed, "stories": results}
    try:
        if args.dump:
            Path(args.dump).write_text(json.dumps(dump, indent=1) + "\n", encoding="utf-8")
        if args.html:
            from daybank import plots
            page = plots.trial_page(results, members=args.members, seed=args.seed)
            Path(args.html).write_text(page, encoding="utf-8")
    except OSError as error:
        return _refuse(
            f"{error.filename} cannot be written ({error.strerror}); accepted is a file in a folder of yours", FAILED
        )
    print(json.dumps(dump, indent=1) if args.json else trial_table.text(results, members=args.members, seed=args.seed))
    if earlier is not None and not args.json:
        print(_comparison(earlier, trial.crps_by_name(results)))
    return FAILED if any("failed" in r for r in results) else GOOD


class Progress:
    """A bar on one line of a terminal: how many, how long it took, how long it will take."""

    def __init__(self, stream, *, shown: bool, width: int = 30):
        self.stream, self.shown, self.width, self.started = stream, shown, width, time.monotonic()

    def step(self, done: int, total: int) -> None:
        """Draws the bar after `done` of `total`."""
        if not self.shown:
            return
        filled = self.width * done // total
        spent_s = time.monotonic() - self.started
        left_s = spent_s / done * (total - done)
        bar = "=" * filled + " " * (self.width - filled)
        self.stream.write(f"\r[{bar}] {done} of {total}, {spent_s:.0f} s, {left_s:.0f} s to go ")
        self.stream.flush()

    def done(self) -> None:
        """Leaves the line."""
        if self.shown:
            self.stream.write("\n")
            self.stream.flush()


def _read_dump(path: str) -> dict:
    from daybank import trial
    return trial.crps_by_name(json.loads(Path(path).read_text(encoding="utf-8"))["stories"])


def _comparison(earlier: dict, now: dict) -> str:
    from daybank import trial
    c = trial.compare(now, earlier)
    return (
        f"\nagainst the earlier result, {c['n']} stories: CRPS {c['difference']:+.3f} days (standard error "
        f"{c['standard_error']:.3f}, 90 % of resamples {c['low']:+.3f} to {c['high']:+.3f}), better in "
        f"{100 * c['share_a_better']:.0f} % of resamples"
    )


def _refuse(sentence: str, status: int = BAD_INPUT) -> int:
    print(f"daybank: {sentence}", file=sys.stderr)
    return status


def _count(text: str) -> int:
    """A whole number from 1 up, for argparse."""
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 1_000_000:
        raise argparse.ArgumentTypeError(f"{text!r} is not accepted; give a whole number from 1 to 1000000")
    return int(text)
