"""Whether a pass at the lathe proves what the print asks of the slide now, and what of the part."""

from __future__ import annotations

import math
from dataclasses import replace

from tapertrig.angle import Angle
from tapertrig.budget.part_angle import part_angle
from tapertrig.budget.rows import Budget
from tapertrig.budget.slide_angle import AngleBudget, proving_room
from tapertrig.job import Job, Pass, StatedAngle
from tapertrig.job.readings import BY_A_PASS
from tapertrig.lathe import Lathe

RESTS_ON = (
    "How sure the check is rests on typical figures, not measured on this lathe: half a line of "
    "each dial, screws within .0003 per unit of travel, and what null, datum and snugging up "
    "usually cost."
)

RESTS_ON_TYPICAL = "The doubt rests on typical figures, not measured on this lathe."
OTHER_DIALS = "these passes were read on other dials than the job's lathe has now"
OTHER_KIND = "the aim was another: an {was} cone, and the print asks for an {now} one now"


def read_on(job: Job, a_pass: Pass) -> Lathe:
    """The lathe as a pass knows it, with the quill's slope that the job's lathe has now."""
    return replace(a_pass.read_on, quill_slope=job.lathe.quill_slope if job.lathe else None)


def budget_of_pass(job: Job, a_pass: Pass) -> AngleBudget:
    """The budget of the check at the half angle asked now, over the travel of a pass."""
    asked, lathe = job.asked(a_pass.aim.cone).half_angle, read_on(job, a_pass)
    return AngleBudget.on_lathe(lathe, asked, a_pass.compound_travel, route=a_pass.aim.route)


def not_of_now(job: Job, a_pass: Pass) -> str:
    """Why a pass cannot be judged by the job as it is now, in words; empty where it can be."""
    lathe, cone, was = job.lathe, a_pass.aim.cone, a_pass.aim.internal
    if 0 <= cone < len(job.callouts) and was not in (None, job.callouts[cone].internal):
        kinds = "external", "internal"
        return OTHER_KIND.format(was=kinds[bool(was)], now=kinds[not was])
    dials = a_pass.unit, a_pass.compound_dial, a_pass.cross_dial
    if lathe is not None and dials != (lathe.unit, lathe.compound_dial, lathe.cross_dial):
        return OTHER_DIALS
    return ""


def proves(job: Job, a_pass: Pass) -> bool:
    """Whether a pass proves the half angle that the print asks now, bolts tight, within T − 1.65 u.

    T is the print's tolerance on the half angle, never an assumed one; u is from typical figures
    and the dials of the pass. Guard band of ISO 14253-1:2017. What `not_of_now` tells proves none.
    """
    cone = a_pass.aim.cone
    if a_pass.struck or a_pass.bolts != "tight" or not 0 <= cone < len(job.callouts):
        return False
    asked = job.callouts[cone]
    tolerance = asked.half_angle_tolerance
    if tolerance is None or asked.kind is None or not_of_now(job, a_pass):
        return False
    room = proving_room(budget_of_pass(job, a_pass), tolerance)
    return room is not None and abs(a_pass.half_angle - asked.half_angle) <= room


def proven_pass(job: Job, cone: int = 0) -> Pass | None:
    """The pass that proves what the slide is set to: the last one standing, if it proves."""
    standing = job.standing(cone)
    return standing[-1] if standing and proves(job, standing[-1]) else None


def part_by_proof(job: Job, cone: int = 0) -> Budget:
    """The budget of the part's angle, cut as the slide stood in the pass that proves it.

    Lengths in the unit of that pass. ValueError saying what is missing.
    """
    return _pass_and_part(job, cone)[1]


def _pass_and_part(job: Job, cone: int) -> tuple[Pass, Budget]:
    taken, cutting = proven_pass(job, cone), job.cutting
    if taken is None:
        raise ValueError("no pass with the bolts tight proves this slide; prove it first")
    if cutting is None or not cutting.given:
        raise ValueError(
            "nothing is known of the cut, so the slide's angle is not the part's; type what you "
            "know of it in lesson 05, and keep it in the job"
        )
    asked = job.asked(cone).in_unit(taken.unit)
    if asked.face_diameter is None or asked.length is None:
        raise ValueError("what the cut adds needs the cone's length and face diameter")
    slide, cut = budget_of_pass(job, taken), cutting.in_unit(taken.unit)
    return taken, part_angle(slide, asked.cone(), cut)


def stated_by_proof(job: Job, cone: int = 0) -> StatedAngle:
    """The half angle that one ball may take from the pass that proves the slide.

    As the slide read in it, to the second; ± U of the part's budget, rounded up with what the
    second leaves. ValueError saying what is missing.
    """
    taken, sure = _pass_and_part(job, cone)
    value = Angle.from_arc_seconds(round(taken.half_angle.arc_seconds))
    rounding = abs(float((value - taken.half_angle).arc_seconds))
    limit = math.ceil(math.degrees(sure.expanded()) * 3600 + rounding - 1e-6)
    day = f" of {taken.time[:10]}" if taken.time else ""
    told = f"{BY_A_PASS}{day} and the part's budget; not measured on the part"
    return StatedAngle(value, Angle.from_arc_seconds(limit), told, taken.identity)


def no_longer_stated(job: Job, cone: int, stated: StatedAngle) -> str:
    """Why a half angle that a pass proved is not so any more, in words; empty where it still is."""
    taken = proven_pass(job, cone)
    if taken is not None and taken.identity == stated.rests_on:
        return ""
    was = next((one for one in job.passes if one.identity == stated.rests_on), None)
    day = f" of {was.time[:10]}" if was and was.time else ""
    gone = "is struck out" if was and was.struck else "no longer proves the slide"
    gone = "is not the last one any more" if was and proves(job, was) else gone
    gone = gone if stated.rests_on else "its file does not name"
    return (
        f"the half angle was stated by a proving pass{day} that {gone}; measure it with two balls, "
        "or state it anew"
    )
