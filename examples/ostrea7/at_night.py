"""Both generators of Ostrea 7 are lost at night, 40 minutes from the nearest long runway: what is left, for how long, and what the landing takes.

    python examples/ostrea7/at_night.py out/ostrea7

Prints one sheet a variant and writes it, with a drawing of the hour, into the folder. The crew sheds at five minutes what the
endurance sheet says buys most and is not needed that night, extends the gear at 38 minutes and lands at 40.
For study and training only: Ostrea 7 is invented, and nothing here is approved data.
"""

import sys
from pathlib import Path

import fedfrom as ff

FAILED = ["sg_l", "sg_r"]
MINUTE = 60.0
BATTERY = {"condition": "g10_emergency", "derating": 0.8, "charge": 0.9}  # an old battery, not quite full
SHED = {"cb_probe_r": "pulled"}  # the heater of the right probe: no icing tonight
GEAR_DOWN = {"a": {"gear_handle": "DOWN"}, "b": {"gear_release": "PULLED"}}  # pumped down in a, blown down in b
LANDED = {"weight_on_wheels": True, "airborne": False}
CARD = {
    "Stop": ["wheel_braking", "reverse"],
    "Steer": "ground_steering",
    "Clear the runway": ["ground_steering", "wheel_braking"],
    "Shut down": ["fuel_shutoff_l", "fuel_shutoff_r"],
    "Evacuate": ["cabin_intercom", "cockpit_lighting"],
}
RUNWAYS_M = {"near": 1100, "long": 1800}


def main(folder):
    folder.mkdir(parents=True, exist_ok=True)
    model = ff.read_model(Path(__file__).with_name("ostrea7.json"))
    for variant in ("a", "b"):
        net = ff.Network(model, variant=variant)
        dark = net.running_state()
        for generator in FAILED:
            dark.fail(generator)
        works = ff.what_works(net, failed=FAILED)
        lasts = ff.endurance(dark, **BATTERY, shed=["probe_heat_r"], shed_after_min=5, landing_min=5, required_min=45)
        events = [
            (0, {"fail": FAILED}),
            (5 * MINUTE, {"set": SHED}),
            (38 * MINUTE, {"set": GEAR_DOWN[variant]}),
            (40 * MINUTE, {"given": LANDED}),
        ]
        hour = ff.timeline(net, events, until_s=120 * MINUTE, **BATTERY)
        landing = [ff.plan(dark, quantity="landing_distance", base_m=700, available_m=metres, rules=["115 percent at arrival"], card=CARD) for metres in RUNWAYS_M.values()]

        title = f"Ostrea 7, variant {variant}: both generators lost at night, 40 minutes from the nearest long runway"
        sheets = [works, hour, lasts, *landing]
        print(f"\n{title}\n{'=' * len(title)}\n")
        for sheet in sheets:
            print(sheet)
        (folder / f"at_night_{variant}.html").write_text(ff.to_html([table for sheet in sheets for table in sheet.tables], title), encoding="utf-8", newline="")
        (folder / f"at_night_{variant}.svg").write_text(hour.chart().svg, encoding="utf-8", newline="")
        print((folder / f"at_night_{variant}.html").as_posix(), (folder / f"at_night_{variant}.svg").as_posix(), sep="\n")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(Path(sys.argv[1]))
