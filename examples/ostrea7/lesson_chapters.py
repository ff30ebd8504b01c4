"""What the lesson says: chapters of events, and every sentence with what must hold for it.

Facts are asked of the session after the event, {question: {id: answer}}, with the questions of `fedfrom.Session`
and "misleads". They are written from the drawings in README.md; lesson.py stops where one does not hold.
"""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Say:
    """A sentence, and what must hold for it: in both variants, and in each its own."""

    text: str
    both: dict = field(default_factory=dict)
    a: dict = field(default_factory=dict)
    b: dict = field(default_factory=dict)


@dataclass(frozen=True)
class Event:
    """What happens. `refused`: the aircraft does not allow it, and says so in these words."""

    text: str
    step: dict
    says: tuple[Say, ...]
    refused: str = ""


@dataclass(frozen=True)
class Chapter:
    """Events, told one by one; `before` them those that another chapter tells, and `begins` then says so."""

    title: str
    events: tuple[Event, ...]
    before: tuple[Event, ...] = ()
    begins: str = "in cruise, nothing failed, every switch at rest"


LIMITERS_WEAK = Event(
    "Neither tie limiter will open when it should: a failure nobody sees.",
    {"fail": [("limiter_l", "no_trip"), ("limiter_r", "no_trip")]},
    (Say("Everything works, and no light says otherwise.", 
        {"level": {"main_power": "normal", "central_warnings": "normal"}, "tripped": {"limiter_l": False, "limiter_r": False},
         "shows": {"gen_light_l": "out", "gen_light_r": "out", "inverter_light": "out", "standby_light": "out", "hyd_light": "out"}}),),
)

SHORT_GOES_THROUGH = Event(
    "A short on the left main bus.",
    {"fail": [("main_l", "short")]},
    (
        Say("It begins as before: the left line contactor and the battery limiter open, and the tie closes onto the fault.",
            {"tripped": {"line_contactor_l": True, "battery_limiter": True}}),
        Say("Now nothing stands in the tie, so the right line contactor has to clear the fault, and the right main bus goes too.",
            {"tripped": {"limiter_l": False, "limiter_r": False, "line_contactor_r": True}, "status": {"main_r": "unsupplied"}, "level": {"main_power": "lost"}}),
        Say("Both generators run and feed nothing; with no line contactor closed the tie has opened again.",
            {"status": {"sg_l": "supplied", "sg_r": "supplied"}, "position": {"tie_contactor": "open"}}),
        Say("The battery carries the direct bus and, through the released relay, the standby bus.",
            {"status": {"direct_bus": "supplied", "standby": "supplied"}, "position": {"standby_relay": "released"}, "mode": {"standby_power": "battery"}}),
        Say("The brakes of a are left with the accumulator; those of b have fluid of their own and are as before.", a={"mode": {"wheel_braking": "accumulator"}}, b={"mode": {"wheel_braking": "normal"}}),
    ),
)  # fmt: skip

CHAPTERS = (
    Chapter("A short on the left main bus, and a tie that closes onto it", (
        Event("A short on the left main bus.", {"fail": [("main_l", "short")]}, (
            Say("The left line contactor and the battery limiter open, as they should.", {"tripped": {"line_contactor_l": True, "battery_limiter": True}}),
            Say("One line contactor is left closed, so the tie closes: it does not look at the bus, and closes onto the fault.",
                {"position": {"line_contactor_l": "open", "line_contactor_r": "closed", "tie_contactor": "closed"}}),
            Say("The left tie limiter opens, and the right main bus lives.",
                {"tripped": {"limiter_l": True, "limiter_r": False, "line_contactor_r": False}, "status": {"main_r": "supplied"}, "mode": {"main_power": "one_bus"}}),
            Say("Gear and reverse are as before in a, where their control is on the standby bus. In b it was on this bus: the nitrogen bottle has to blow the gear down, and there is no reverse.",
                a={"mode": {"gear_extension": "powered"}, "level": {"reverse": "normal"}}, b={"mode": {"gear_extension": "nitrogen"}, "level": {"reverse": "lost"}}),
        )),
        Event("The left line contactor is reset.", {"reset": ["line_contactor_l"]}, (
            Say("Onto the fault: it trips again, and nothing is gained.", {"tripped": {"line_contactor_l": True}, "status": {"main_l": "failed"}}),
        )),
        Event("And once more.", {"reset": ["line_contactor_l"]}, (
            Say("It has one reset in flight, and that is used.", {"tripped": {"line_contactor_l": True}}),
        ), refused="`line_contactor_l` has been reset as often as it may be (1)."),
    )),
    Chapter("The same short, and limiters that do not open", (
        LIMITERS_WEAK,
        SHORT_GOES_THROUGH,
        Event("The right line contactor is reset, with everything else left as it is.", {"reset": ["line_contactor_r"]}, (
            Say("One line contactor closed: the tie closes onto the fault once more, and the contactor trips again. The one reset is gone, and both main buses with it.",
                {"tripped": {"line_contactor_r": True}, "level": {"main_power": "lost"}}),
        )),
    )),
    Chapter("The same short once more: first the tie, then the reset", before=(LIMITERS_WEAK, SHORT_GOES_THROUGH), begins="as chapter 2, up to the reset: both main buses are dead", events=(
        Event("The contactor control breaker is pulled.", {"set": {"cb_contactors": "pulled"}}, (
            Say("The coil of the tie is dead: whatever closes now, the tie stays open.", {"status": {"tie_contactor": "unsupplied"}, "position": {"tie_contactor": "open"}}),
        )),
        Event("The right line contactor is reset.", {"reset": ["line_contactor_r"]}, (
            Say("It stays closed, and the right main bus is back with what hangs on it.",
                {"tripped": {"line_contactor_r": False}, "position": {"line_contactor_r": "closed", "tie_contactor": "open"}, "status": {"main_r": "supplied"}, "mode": {"main_power": "one_bus", "standby_power": "main"}}),
            Say("The flaps move again, and the brakes of a have power and anti-skid.",
                {"level": {"flap_travel": "normal", "landing_flaps": "normal"}}, a={"mode": {"wheel_braking": "normal"}, "status": {"antiskid": "supplied"}}),
        )),
    )),
    Chapter("A transfer onto a fault", (
        Event("The battery-side breaker of the standby bus will not trip: another failure nobody sees.", {"fail": [("cb_standby_batt", "no_trip")]}, (
            Say("The standby bus is fed from the right main bus, and that breaker is not in use.", {"mode": {"standby_power": "main"}, "position": {"cb_standby_batt": "in"}}),
        )),
        Event("A short on the standby bus.", {"fail": [("standby", "short")]}, (
            Say("The breaker to the right main bus trips, and the right main bus lives.", {"tripped": {"cb_standby_main": True}, "status": {"main_r": "supplied"}}),
            Say("The changeover relay took its control behind that breaker. It falls to the other side, and puts the battery direct bus onto the fault.",
                {"position": {"standby_relay": "released"}, "status": {"direct_bus": "dragged_down", "batt": "dragged_down"}}),
            Say("The breaker there does not trip; the battery limiter does, and saves the left main bus.",
                {"tripped": {"cb_standby_batt": False, "battery_limiter": True}, "status": {"main_l": "supplied"}}),
            Say("With the direct bus go the fuel shutoff valves and the fire extinguisher; the generators need it no more.",
                {"level": {"fuel_shutoff_l": "lost", "fuel_shutoff_r": "lost", "fire_extinguishing": "lost"}, "status": {"sg_l": "supplied", "sg_r": "supplied"}}),
            Say("In b the second battery is on the standby bus as well, and its own breaker takes it off. The gear is lost to free fall only in a.",
                a={"mode": {"gear_extension": "free_fall"}}, b={"tripped": {"cb_battery_2": True}, "mode": {"gear_extension": "powered"}}),
        )),
        Event("The battery-side breaker is pulled by hand.", {"set": {"cb_standby_batt": "pulled"}}, (
            Say("A breaker that does not trip can still be pulled. The fault is cut off, and the direct bus is back.", {"status": {"direct_bus": "supplied", "batt": "supplied", "standby": "failed"}}),
            Say("Fuel can be shut off and a fire put out again. The standby bus itself stays dead.",
                {"level": {"fuel_shutoff_l": "normal", "fuel_shutoff_r": "normal", "fire_extinguishing": "normal", "standby_power": "lost"}}),
            Say("The battery is not charged: its limiter is replaced on the ground.", {"tripped": {"battery_limiter": True}, "level": {"battery_charging": "lost"}}),
        )),
        Event("The battery limiter is reset.", {"reset": ["battery_limiter"]}, (
            Say("That is no breaker.", {"tripped": {"battery_limiter": True}}),
        ), refused="`battery_limiter` is replaced on the ground; repair it instead of resetting it."),
    )),
    Chapter("A valve that can no longer be closed", (
        Event("The fuel shutoff and extinguisher breaker fails.", {"fail": ["cb_fire"]}, (
            Say("A motor valve without power stays where it is: both engines run on.", {"status": {"fuel_valve_l": "unsupplied"}, "position": {"fuel_valve_l": "open", "fuel_valve_r": "open"}, "level": {"thrust": "normal"}}),
            Say("Nothing else stops, and no light comes on. But neither engine can be cut off from its fuel now, and there is no extinguisher.",
                {"level": {"fuel_shutoff_l": "lost", "fuel_shutoff_r": "lost", "fire_extinguishing": "lost", "central_warnings": "normal"}, 
                 "shows": {"gen_light_l": "out", "gen_light_r": "out", "inverter_light": "out", "standby_light": "out", "hyd_light": "out", "cabin_warning": "silent"}}),
        )),
        Event("The left fire handle is pulled.", {"set": {"fire_handle_l": "PULLED"}}, (
            Say("The air supply valve, on another breaker, closes. The fuel valve does not, and the engine runs.",
                {"position": {"bleed_l": "closed", "fuel_valve_l": "open"}, "status": {"eng_l": "supplied"}}),
        )),
        Event("The breaker is mended, and the handle is still out.", {"repair": ["cb_fire"]}, (
            Say("The valve has power and does what the handle says: it closes, and the left engine stops.", {"position": {"fuel_valve_l": "closed"}, "status": {"eng_l": "unsupplied"}, "mode": {"thrust": "one"}}),
            Say("Its generator stops with it, and the tie closes: one source for both main buses.", {"position": {"line_contactor_l": "open", "tie_contactor": "closed"}, "mode": {"main_power": "one_source"}}),
        )),
        Event("The breaker fails again.", {"fail": ["cb_fire"]}, (
            Say("Now the valve stays closed.", {"position": {"fuel_valve_l": "closed", "fuel_valve_r": "open"}}),
        )),
        Event("The left fire handle is pushed back.", {"set": {"fire_handle_l": "NORMAL"}}, (
            Say("And it cannot be opened either. The same failure, an open valve before and a closed one now: what counts is when power left it.",
                {"position": {"fuel_valve_l": "closed", "bleed_l": "open"}, "status": {"eng_l": "unsupplied"}}),
            Say("The library calls the shutting off normal here, for the valve is shut; of the right engine it is lost.", {"level": {"fuel_shutoff_l": "normal", "fuel_shutoff_r": "lost"}}),
        )),
    )),
    Chapter("A generator that keeps itself alive", (
        Event("The left generator control breaker is pulled.", {"set": {"cb_gcu_l": "pulled"}}, (
            Say("The control unit has lost its second source, the battery direct bus. It lives from its own generator, which lives from it.",
                {"status": {"gcu_l": "supplied", "sg_l": "supplied"}, "level": {"main_power": "normal"}}),
        )),
        Event("The battery fails.", {"fail": ["batt"]}, (
            Say("A running generator needs no battery.", {"status": {"batt": "failed", "direct_bus": "supplied", "sg_l": "supplied"}, "level": {"main_power": "normal"}}),
        )),
        Event("The left generator control unit fails.", {"fail": ["gcu_l"]}, (
            Say("No field, no generator. Its line contactor opens, and the light comes on.",
                {"status": {"sg_l": "unsupplied"}, "position": {"line_contactor_l": "open"}, "shows": {"gen_light_l": "lit"}}),
            Say("The left main bus was what held the direct bus up, and the coil of the tie hangs on the direct bus: the tie stays open, and the left main bus stays dead.",
                {"status": {"main_l": "unsupplied", "direct_bus": "unsupplied", "tie_contactor": "unsupplied"}, "position": {"tie_contactor": "open"}, "mode": {"main_power": "one_bus"}}),
        )),
        Event("The control unit is mended.", {"repair": ["gcu_l"]}, (
            Say("Nothing comes back. Unit and generator wait for each other: what kept itself alive cannot start itself.", {"status": {"gcu_l": "unsupplied", "sg_l": "unsupplied", "main_l": "unsupplied"}}),
        )),
        Event("The breaker is pushed in.", {"set": {"cb_gcu_l": "in"}}, (
            Say("That is not enough either: behind it the direct bus is dead, with no battery.", {"status": {"direct_bus": "unsupplied", "gcu_l": "unsupplied", "sg_l": "unsupplied"}}),
        )),
        Event("The battery is mended.", {"repair": ["batt"]}, (
            Say("The battery wakes the direct bus, that the control unit, that the generator; the line contactor closes.",
                {"status": {"direct_bus": "supplied", "gcu_l": "supplied", "sg_l": "supplied", "main_l": "supplied"}, "position": {"line_contactor_l": "closed", "tie_contactor": "open"}}),
            Say("All is as at the beginning.", {"level": {"main_power": "normal", "battery_charging": "normal", "standby_power": "normal", "ac_power": "normal", "medical_power": "normal"}}),
        )),
    )),
    Chapter("Lights and gauges that lie", (
        Event("Inverter 1 fails.", {"fail": ["inverter_1"]}, (
            Say("The relay falls to inverter 2, the AC bus lives, and the light tells.", {"position": {"inverter_relay": "released"}, "status": {"ac_bus": "supplied"}, "shows": {"inverter_light": "lit"}}),
        )),
        Event("Inverter 2 fails.", {"fail": ["inverter_2"]}, (
            Say("The torque gauges have no supply, and do not look it: their pointers stay, and show both engines.",
                {"status": {"torque_gauges": "unsupplied"}, "shows": {"torque_gauges": "both engines"}, "level": {"engine_indication": "lost"}}),
            Say("For now that happens to be true.", {"misleads": {"torque_gauges": False}, "level": {"thrust": "normal"}}),
        )),
        Event("The left engine fails.", {"fail": ["eng_l"]}, (
            Say("One engine gives power, and the gauges still show two.", {"mode": {"thrust": "one"}, "shows": {"torque_gauges": "both engines"}, "misleads": {"torque_gauges": True}}),
            Say("The left generator light tells: it has power of its own, and looks at the line contactor.", {"status": {"gen_light_l": "supplied"}, "shows": {"gen_light_l": "lit"}, "misleads": {"gen_light_l": False}}),
        )),
        Event("Inverter 2 is mended.", {"repair": ["inverter_2"]}, (
            Say("Now the gauges read the right engine only.", {"shows": {"torque_gauges": "right engine only"}, "misleads": {"torque_gauges": False}}),
        )),
        Event("The breaker of the warning lights fails.", {"fail": ["cb_warning"]}, (
            Say("All warning lights go out, the left generator light too, though that generator stands still.", {"shows": {"gen_light_l": "out"}, "status": {"gen_light_l": "unsupplied", "sg_l": "unsupplied"}}),
            Say("The fire detectors are on the same breaker.", {"level": {"central_warnings": "lost", "fire_detection": "lost"}}),
        )),
        Event("The right generator fails.", {"fail": ["sg_r"]}, (
            Say("No generator is left, and both generator lights are out, as on a healthy aircraft. A dark panel is no good news.",
                {"status": {"sg_l": "unsupplied", "sg_r": "failed"}, "shows": {"gen_light_l": "out", "gen_light_r": "out"}, "level": {"main_power": "lost"}}),
        )),
    )),
)  # fmt: skip
