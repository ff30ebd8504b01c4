"""A lesson on Ostrea 7, event by event, both variants side by side: what changes after each event, and why.

    python examples/ostrea7/lesson.py out/ostrea7

Prints the lesson and writes it into the folder: as lesson.txt, and a page for paper a chapter. Every sentence of
lesson_chapters.py is checked against the library as the lesson is flown.
For study and training only: Ostrea 7 is invented, and nothing here is approved data.
"""

import sys
import textwrap
from dataclasses import dataclass
from pathlib import Path

import fedfrom as ff
from lesson_chapters import CHAPTERS
from lesson_words import Names, sentences

MARKS = {"normal": "kept", "not_fitted": "not fitted"}  # of the other levels, the mark is the word
NORMAL = ("normal", "kept")
WIDTH = 100


class NotSo(Exception):
    """The lesson says what the library does not."""


@dataclass(frozen=True)
class Section:
    """An event and what follows, or how a chapter ends: as a table, and as lines to read aloud."""

    title: str
    says: list
    columns: list
    rows: list
    lines: list

    def table(self, captions):
        return ff.Table(self.title, self.columns, self.rows, captions=[*captions, *(("", say) for say in self.says)])

    def text(self):
        said = [textwrap.fill(" ".join(self.says), WIDTH), ""] if self.says else []
        return "\n".join([self.title, "", *said, *(textwrap.fill(line, WIDTH, initial_indent="  ", subsequent_indent="      ") for line in self.lines)])


def must(so, message):
    if not so:
        raise NotSo(message)


def answer(session, question, id):
    if question == "misleads":
        return id in ff.indications(session.state()).misleading
    return getattr(session, question)(id)


def check(say, sessions):
    """No sentence is printed that is not so, and none that nothing was checked of."""
    for variant, session in sessions.items():
        facts = [(question, id, expected) for part in (say.both, getattr(say, variant)) for question, answers in part.items() for id, expected in answers.items()]
        must(facts, f"Nothing is checked in {variant} of: {say.text}")
        for question, id, expected in facts:
            found = answer(session, question, id)
            must(found == expected, f"In {variant}, {question} of {id} is {found}, not {expected}: {say.text}")


def happen(event, session):
    """What changes; nothing where the aircraft refuses the event, which it then must in the words foreseen."""
    refused = ""
    try:
        session.apply(event.step)
    except ff.NotPossible as refusal:
        refused = str(refusal)
    must(refused == event.refused, f"{event.text} The aircraft says: {refused or 'it can be done.'}")
    return [] if refused else session.settle()


def follow(title, event, sessions, names):
    """What is said of an event, and what changes."""
    changes = {variant: happen(event, session) for variant, session in sessions.items()}
    for say in event.says:
        check(say, sessions)
    if event.refused:
        rows = [("both", "It cannot be done.", names["a"].clause(event.refused.replace("`", "").rstrip(".")))]
    else:
        rows = sentences(changes, names) or [("both", "Nothing changes.", "")]
    lines = [f"{where}: {sentence[:-1]}, because {reason}." if reason else f"{where}: {sentence}" for where, sentence, reason in rows]
    return Section(title, [say.text for say in event.says], ["Where", "What happens", "Because"], [list(row) for row in rows], lines)


def end(title, sessions, names):
    """Variant beside variant: every function that is not normal in both."""

    def cell(variant, id):
        level, mode = sessions[variant].level(id), sessions[variant].mode(id)
        return names[variant].mode(id, mode) if level == "degraded" else level.replace("_", " "), MARKS.get(level, level)

    columns = ["Function", "In a", "In b"]
    rows = [[name, cell("a", id), cell("b", id)] for id, name in names["a"].name.items() if id in names["a"].functions]
    rows = [row for row in rows if row[1] != NORMAL or row[2] != NORMAL]
    if not rows:
        return Section(title, [], columns, [["Every function", NORMAL, NORMAL]], ["Every function is normal."])
    lines = [f"{name}: {a[0]}." if a == b else f"{name}: in a {a[0]}; in b {b[0]}." for name, a, b in rows]
    return Section(title, [], columns, rows, lines)


def fly(number, chapter, nets, names):
    """The sections of a chapter, which begins with the running aircraft and what is told in another."""
    sessions = {variant: ff.Session(net) for variant, net in nets.items()}
    for event in chapter.before:
        follow("", event, sessions, names)
    told = [follow(f"{number}.{e} {event.text}", event, sessions, names) for e, event in enumerate(chapter.events, 1)]
    return [*told, end(f"{number}.{len(told) + 1} How it ends", sessions, names)]


def main(folder):
    model = ff.read_model(Path(__file__).with_name("ostrea7.json"))
    nets = {variant: ff.Network(model, variant=variant) for variant in ("a", "b")}
    names = {variant: Names(net) for variant, net in nets.items()}
    lesson, pages = [textwrap.fill(ff.caution, WIDTH)], {}
    for number, chapter in enumerate(CHAPTERS, 1):
        title = f"Chapter {number}: {chapter.title}"
        captions = [("Model", f"{model.name}, edition {model.edition}, variants a and b"), ("Begins", chapter.begins), ("Events", "what the model does with them; no procedure")]
        sections = fly(number, chapter, nets, names)
        lesson += [f"{title}\n{'=' * len(title)}", "\n".join(f"{label}: {text}" for label, text in captions), *(section.text() for section in sections)]
        pages[f"lesson_{number}.html"] = ff.to_html([section.table(captions) for section in sections], f"Ostrea 7. {title}")
    lesson.append(textwrap.fill(ff.caution, WIDTH))

    text = "\n\n".join(lesson) + "\n"
    print(text)
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in {"lesson.txt": text, **pages}.items():
        (folder / name).write_text(content, encoding="utf-8", newline="")
        print((folder / name).as_posix())


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(Path(sys.argv[1]))
