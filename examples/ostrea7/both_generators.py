"""Both starter-generators of Ostrea 7 have failed: what is left, why, and how the two variants differ, then and whatever fails.

    python examples/ostrea7/both_generators.py out/ostrea7

Prints the sheets and writes them, with the table of what every single failure does and a hand-out for differences training, into the folder.
For study and training only: Ostrea 7 is invented, and nothing here is approved data.
"""

import sys
from pathlib import Path

import fedfrom as ff

FAILED = ["sg_l", "sg_r"]
ASK_WHY = ["flap_travel", "gear_extension", "wheel_braking", "fire_detection"]  # lost, fallen back, fallen back in a, works


def headline(text):
    print(f"\n{text}\n{'=' * len(text)}\n")


def level_of(standing):
    return f"{standing['level']} ({standing['mode_name']})" if standing["mode"] else standing["level"]


def main(folder):
    folder.mkdir(parents=True, exist_ok=True)
    written = []

    def write(name, text):
        (folder / name).write_text(text, encoding="utf-8", newline="")
        written.append(folder / name)

    model = ff.read_model(Path(__file__).with_name("ostrea7.json"))
    works = {}
    for variant in ("a", "b"):
        net = ff.Network(model, variant=variant)
        out = works[variant] = ff.what_works(net, failed=FAILED)
        headline(f"Variant {variant}: what is kept, what falls back, what is lost")
        print(out)
        headline(f"Variant {variant}: why")
        for function in ASK_WHY:
            print(ff.why(out, function))
        headline(f"Variant {variant}: indications that are dark or mislead")
        lights = ff.indications(out)
        for light in lights.shown:
            if light["misleads"] or light["dark"]:
                print(f"{light['name']}: {light['reason']}")

        headline(f"Variant {variant}: how long the battery lasts")
        lasts = ff.endurance(out, "g10_emergency", derating=0.8, charge=0.9, shed_after_min=5, landing_min=10, required_min=30)
        print(lasts)
        cruise = ff.load_sheet(net, "g07_cruise")

        impact = ff.impact_table(net).table
        write(f"both_generators_{variant}.txt", str(out))
        write(f"both_generators_{variant}.html", ff.to_html([*out.tables, lights.table], f"Ostrea 7, variant {variant}: both starter-generators failed"))
        write(f"endurance_{variant}.html", lasts.to_html())
        write(f"loads_cruise_{variant}.html", cruise.to_html())
        write(f"impact_{variant}.md", impact.to_markdown())
        write(f"impact_{variant}.csv", impact.to_csv())
        write(f"impact_{variant}.html", impact.to_html())

    headline("What differs between a and b, both starter-generators failed")
    names = {function["id"]: function["name"] for function in works["a"].functions}
    for pair in ff.compare(works["a"], works["b"]).functions:
        print(f"{names[pair['function']]}: {level_of(pair['a'])} in a, {level_of(pair['b'])} in b")

    headline("Differences between a and b, for training")
    differences = ff.compare(*(ff.Network(model, variant=variant) for variant in ("a", "b")))
    print(differences)
    write("differences.txt", str(differences))
    write("differences.md", differences.to_markdown())
    write("differences.html", differences.to_html())
    print(f"\n{ff.caution}")

    headline("Written")
    for path in written:
        print(path.as_posix())


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(Path(sys.argv[1]))
