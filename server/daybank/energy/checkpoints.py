"""checkpoints.py - an ensemble laid aside at a local midnight, so that a long log need not be replayed each time.

A checkpoint holds all that the log before that midnight taught. It answers for the records it has heard: whoever keeps
it throws it away when a record dated before its midnight is added, changed or deleted, or when the rig is changed.
Knows: the form of a checkpoint. Leaves to others: keeping it (the phone), going on from it (estimate.py).
"""
FORM = 1


def take(e, day) -> dict:
    """The ensemble as it stands before `day` is drawn.

    Returns
        {"form", "day", "at", "members", "chemistry", "label_ah", "scores", "soc", "head", "surface", "index",
        "yesterday", "draws", "surprises", "heard"}: plain lists and numbers; `index` and `yesterday` carry the sky's
        memory.
    """
    before = e.day
    return {
        'form': FORM, 'day': day.name, 'at': day.starts_s, 'members': e.n, 'chemistry': e.rig.chemistry,
        'label_ah': e.rig.label_ah, 'scores': [list(c) for c in e.z], 'soc': list(e.soc), 'head': list(e.head),
        'surface': list(e.surface), 'index': list(e.index), 'draws': e.rng.state(), 'surprises': e.surprises[-2:],
        'heard': e.heard,
        'yesterday': None if before is None or not before.place else before.name,
    }


def fits(kept: dict, *, members: int, rig, asked_s: float, oldest_s: float) -> bool:
    """Whether a checkpoint can stand for the log before its midnight, for this rig and size of ensemble."""
    return (kept is not None and kept.get('form') == FORM and kept.get('members') == members
            and kept.get('chemistry') == rig.chemistry and kept.get('label_ah') == rig.label_ah
            and oldest_s <= kept['at'] <= asked_s)


def put_back(e, kept: dict) -> None:
    """Fill a blank ensemble from a checkpoint; the caller refreshes it and sets the day before."""
    e.z = [list(c) for c in kept['scores']]
    e.soc, e.head, e.surface = list(kept['soc']), list(kept['head']), list(kept['surface'])
    e.index = list(kept['index'])
    e.rng.resume(kept['draws'])
    e.surprises = [tuple(s) for s in kept['surprises']]
    e.heard = kept['heard']
