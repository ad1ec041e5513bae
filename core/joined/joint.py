"""Two glasses in one piece: stress, who is in tension, and a verdict with its uncertainty."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from core.glass.glass import Estimate, Glass, GlassProperties
from core.glass.properties import properties_of
from core.joined.contraction import Contraction, Partner, contract
from core.joined.cylinders import Cylinders, cylinder_stress
from core.joined.elastic_pair import Elastic, PairStress, Stress, peak_tension
from core.joined.layers import Layers, layer_stress
from core.joined.strength import ALLOWED_TENSION, Verdict, judge
from core.units import ZERO_CELSIUS

Form = Cylinders | Layers

_FAR_APART = 40.0
"""[K] Strain points further apart than this make a pair hard to anneal (common practice, no
source)."""


@dataclass(frozen=True)
class Joint:
    """Two glasses joined.

    Attributes
    ----------
    core, casing : Partner
        In layers the core is the base and the casing the layer; in a thread the core is the
        thread and the casing the body.
    form : Cylinders or Layers
    contraction : Contraction
    stress : PairStress
        At the estimated contraction.
    core_tension, casing_tension : Estimate
        Largest tension of each [Pa], 0 when it is all in compression; the interval covers
        contraction and elasticity.
    in_tension : str or None
        Name of the partner with the larger tension; ``None`` when neither has any.
    verdict : Verdict
    warnings : tuple of str
        Plain cautions.
    """

    core: Partner
    casing: Partner
    form: Form
    contraction: Contraction
    stress: PairStress
    core_tension: Estimate
    casing_tension: Estimate
    in_tension: str | None
    verdict: Verdict
    warnings: tuple[str, ...]

    @property
    def peak(self) -> Estimate:
        """The larger tension of the two, by the upper end of its interval [Pa]."""
        return max(
            (self.core_tension, self.casing_tension),
            key=lambda tension: tension.value if tension.high is None else tension.high,
        )


def join(core: Glass, casing: Glass, form: Form, *, same_house: bool = False) -> Joint:
    """Join two glasses and judge the result.

    Parameters
    ----------
    core, casing : Glass
    form : Cylinders or Layers
    same_house : bool
        True when one studio melts both from the same raw materials.

    Raises
    ------
    GlassError
        As :func:`core.glass.properties.properties_of` for either glass.
    """
    inner = Partner(core, properties_of(core))
    outer = Partner(casing, properties_of(casing))
    contraction = contract(inner, outer, same_house=same_house)
    first, second = elastic_of_glass(inner.properties), elastic_of_glass(outer.properties)
    difference = contraction.difference
    stress = pair_stress(first, second, form, difference.value)
    share = _elastic_error(inner.properties, outer.properties, form)
    tensions = tuple(
        _tension(first, second, form, difference, share, which) for which in ("core", "casing")
    )
    joint = Joint(
        core=inner,
        casing=outer,
        form=form,
        contraction=contraction,
        stress=stress,
        core_tension=tensions[0],
        casing_tension=tensions[1],
        in_tension=_in_tension(inner, outer, tensions[0].value, tensions[1].value),
        verdict=Verdict.DOUBTFUL,
        warnings=(),
    )
    return replace(joint, verdict=_verdict(joint), warnings=tuple(_cautions(joint)))


def pair_stress(core: Elastic, casing: Elastic, form: Form, misfit: float) -> PairStress:
    """Stress of a joint of either form; ``misfit`` as in :mod:`core.joined.cylinders`."""
    if isinstance(form, Cylinders):
        return cylinder_stress(core, casing, form, misfit)
    return layer_stress(core, casing, form, misfit)


def elastic_of_glass(properties: GlassProperties) -> Elastic:
    """Elasticity of a glass at its estimated values; it changes little up to setting."""
    return Elastic(properties.youngs_modulus.value, properties.poissons_ratio.value)


def _peak(core: Elastic, casing: Elastic, form: Form, misfit: float, which: str) -> float:
    stresses: tuple[Stress, ...] = getattr(pair_stress(core, casing, form, misfit), which)
    peak = peak_tension(stresses).value
    return max(0.0, peak)


def _tension(
    core: Elastic, casing: Elastic, form: Form, misfit: Estimate, share: float, which: str
) -> Estimate:
    """Peak tension of a partner [Pa]; it is proportional to the misfit on either side of 0."""
    value = _peak(core, casing, form, misfit.value, which)
    source = "elastic, from the difference of contraction"
    if misfit.low is None or misfit.high is None:
        return Estimate(value=value, source=source)
    ends = [_peak(core, casing, form, end, which) for end in (misfit.low, misfit.high)]
    lowest = 0.0 if misfit.low < 0.0 < misfit.high else min(ends)
    return Estimate(
        value=value, source=source, low=lowest * (1.0 - share), high=max(ends) * (1.0 + share)
    )


def _elastic_error(core: GlassProperties, casing: GlassProperties, form: Form) -> float:
    """Relative half width of the stress by the errors of both elasticities, as independent."""

    def modulus(inner: Elastic, outer: Elastic) -> float:
        stress = pair_stress(inner, outer, form, 1e-4)
        return max(abs(s.value) for s in (*stress.core, *stress.casing))

    middle = modulus(elastic_of_glass(core), elastic_of_glass(casing))
    changes = []
    for which, partner in enumerate((core, casing)):
        for changed in _elastic_ends(partner):
            pair = [elastic_of_glass(core), elastic_of_glass(casing)]
            pair[which] = changed
            changes.append(abs(modulus(*pair) / middle - 1.0))
    return min(math.hypot(*changes), 0.9)


def _elastic_ends(properties: GlassProperties) -> Iterator[Elastic]:
    """A body with its modulus at the upper end of the interval, and one with its ratio there."""
    modulus, ratio = properties.youngs_modulus, properties.poissons_ratio
    if modulus.high is not None:
        yield Elastic(modulus.high, ratio.value)
    if ratio.high is not None:
        yield Elastic(modulus.value, min(ratio.high, 0.45))


def _in_tension(core: Partner, casing: Partner, inner: float, outer: float) -> str | None:
    if inner <= 0.0 and outer <= 0.0:
        return None
    return core.name if inner > outer else casing.name


def _verdict(joint: Joint) -> Verdict:
    verdicts = {judge(joint.core_tension), judge(joint.casing_tension)}
    if Verdict.WILL_CRACK in verdicts:
        return Verdict.WILL_CRACK
    if Verdict.DOUBTFUL in verdicts or _strangers(joint):
        return Verdict.DOUBTFUL
    return Verdict.SAFE


def _strangers(joint: Joint) -> list[Partner]:
    """Partners outside what the property model knows and without a measured expansion."""
    return [
        partner
        for partner in (joint.core, joint.casing)
        if not partner.properties.expansion.measured
        and partner.properties.domain is not None
        and not partner.properties.domain.in_range
    ]


def _cautions(joint: Joint) -> Iterator[str]:
    for partner in _strangers(joint):
        yield (
            f"No glass like “{partner.name}” is behind the model: measure its expansion before "
            "trusting this."
        )
    for partner in (joint.core, joint.casing):
        expansion = partner.properties.expansion
        if expansion.low is None and not _strangers(joint):
            yield f"Nothing is known of the error of the expansion of “{partner.name}”."
    strain = [partner.properties.strain_point.value for partner in (joint.core, joint.casing)]
    apart = abs(strain[0] - strain[1])
    if apart > _FAR_APART:
        yield (
            f"The strain points lie {apart:.0f} °C apart: anneal for the stiffer glass, hold "
            "again for the softer one, and cool slowly from one to the other."
        )
    if joint.peak.high is None or joint.peak.high > ALLOWED_TENSION:
        yield (
            "Pull a thread of both side by side: it bends towards the glass that shrinks more. "
            "Then cut through a trial piece and leave it for a week before making the real one."
        )
    yield (
        "Stress of annealing comes on top. Ends, rims, cuts and engraving carry more than is "
        "reckoned here."
    )
    low = joint.contraction.set_temperature.value - ZERO_CELSIUS
    if low < 350.0:
        yield f"The pair sets only at {low:.0f} °C: check the softer glass's strain point."
