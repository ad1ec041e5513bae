"""What a name in an analysis stands for: oxides, their trade and mineral names, elements.

Soda, potash, lime and the like are the oxides' names in every table of glass analyses; that the
same words name a carbonate on a sack of batch is common knowledge, hence the refusal of words
that can only be raw materials. Names that leave two readings open are refused with both.
"""

from __future__ import annotations

import functools
import re
import unicodedata
from dataclasses import dataclass
from enum import StrEnum

from core.composition.oxides import ATOMIC_WEIGHT, MOLAR_MASS, find_oxide, formula_mass, formula_of
from core.errors import CompositionError


class NameKind(StrEnum):
    """How a name was turned into an oxide."""

    OXIDE = "oxide"
    OTHER_NAME = "other name"
    OTHER_OXIDE = "other oxide"
    ELEMENT = "element"
    TOTAL_IRON = "total iron"
    LEFT_OUT = "left out"


@dataclass(frozen=True)
class Component:
    """One thing an analysis lists, and the oxide it is counted as.

    Attributes
    ----------
    written : str
        As it was written; an oxide in its canonical spelling.
    oxide : str
        Canonical oxide; empty for what is left out (oxygen, loss on ignition, water).
    kind : NameKind
    weight_factor : float
        Mass of the oxide in a unit mass of what is named.
    mole_factor : float
        Moles of the oxide in a mole of what is named.
    """

    written: str
    oxide: str
    kind: NameKind = NameKind.OXIDE
    weight_factor: float = 1.0
    mole_factor: float = 1.0


def _pairs(text: str) -> dict[str, str]:
    words = text.split()
    return dict(zip(words[::2], words[1::2], strict=True))


_ELEMENTS = _pairs(
    "Si SiO2 Al Al2O3 B B2O3 Na Na2O K K2O Li Li2O Ca CaO Mg MgO Sr SrO Ba BaO Zn ZnO Pb PbO "
    "Fe Fe2O3 Mn MnO Cu CuO Co CoO Ni NiO Cr Cr2O3 Ti TiO2 Zr ZrO2 P P2O5 Sb Sb2O3 As As2O3 "
    "Sn SnO2 Ce CeO2 Nd Nd2O3 La La2O3 Bi Bi2O3 V V2O5 S SO3 Rb Rb2O Cs Cs2O Ge GeO2 Y Y2O3 "
    "Th ThO2 U UO2 Er Er2O3 Pr Pr2O3 Cd CdO Se SeO2 Ag Ag2O"
)
"""The oxide each element is reported as in analyses of glass (common practice, no source)."""

_OTHER_OXIDES = _pairs(
    "Fe3O4 Fe2O3 Mn2O3 MnO Mn3O4 MnO Co3O4 CoO Co2O3 CoO Ni2O3 NiO Pb3O4 PbO PbO2 PbO "
    "Sb2O4 Sb2O3 CrO3 Cr2O3 Ce2O3 CeO2 V2O3 V2O5 UO3 UO2 U3O8 UO2 Pr6O11 Pr2O3 Ti2O3 TiO2"
)
"""Oxides counted as another of the same metal."""

_OTHER_NAMES = {
    "SiO2": "silica; silicon dioxide; silicon oxide; silicic acid; quartz",
    "Al2O3": "alumina; aluminium oxide; aluminum oxide",
    "B2O3": "boric oxide; boron oxide; boron trioxide; boric anhydride; boria",
    "Na2O": "soda; sodium oxide",
    "K2O": "potash; potassium oxide",
    "Li2O": "lithia; lithium oxide",
    "CaO": "lime; quicklime; burnt lime; calcium oxide; calcia",
    "MgO": "magnesia; magnesium oxide; periclase",
    "SrO": "strontia; strontium oxide",
    "BaO": "baryta; barium oxide",
    "ZnO": "zinc oxide; zinc white; flowers of zinc; zincite",
    "PbO": "lead oxide; lead monoxide; lead(II) oxide; litharge; massicot; lead",
    "Fe2O3": "iron oxide; ferric oxide; iron(III) oxide; iron sesquioxide; red iron oxide; "
    "haematite; hematite",
    "FeO": "ferrous oxide; iron(II) oxide; iron monoxide",
    "Fe3O4": "black iron oxide; magnetite",
    "MnO": "manganese oxide; manganous oxide; manganese(II) oxide; manganese monoxide",
    "MnO2": "manganese dioxide; manganese(IV) oxide; pyrolusite; black manganese",
    "CuO": "copper oxide; cupric oxide; copper(II) oxide; black copper oxide",
    "Cu2O": "cuprous oxide; copper(I) oxide; red copper oxide; cuprite",
    "CoO": "cobalt oxide; cobaltous oxide; cobalt(II) oxide",
    "NiO": "nickel oxide; nickel(II) oxide; nickelous oxide",
    "Cr2O3": "chromium oxide; chrome oxide; chromic oxide; chromia; chromium(III) oxide; "
    "chrome green",
    "TiO2": "titania; titanium dioxide; titanium oxide; titanium white; rutile",
    "ZrO2": "zirconia; zirconium oxide; zirconium dioxide",
    "P2O5": "phosphorus pentoxide; phosphoric oxide; phosphorus oxide; phosphoric anhydride; "
    "phosphate",
    "Sb2O3": "antimony oxide; antimony trioxide; antimony(III) oxide; antimony",
    "Sb2O5": "antimony pentoxide; antimony(V) oxide",
    "As2O3": "arsenic oxide; arsenic trioxide; arsenic(III) oxide; arsenious oxide; "
    "white arsenic; arsenic",
    "As2O5": "arsenic pentoxide; arsenic(V) oxide",
    "SnO2": "tin oxide; tin dioxide; stannic oxide; tin(IV) oxide; cassiterite; putty powder",
    "SnO": "stannous oxide; tin monoxide; tin(II) oxide",
    "CeO2": "ceria; cerium oxide; cerium dioxide",
    "Nd2O3": "neodymia; neodymium oxide",
    "La2O3": "lanthana; lanthanum oxide",
    "Er2O3": "erbia; erbium oxide",
    "Pr2O3": "praseodymium oxide",
    "Bi2O3": "bismuth oxide; bismuth trioxide",
    "V2O5": "vanadium oxide; vanadium pentoxide",
    "CdO": "cadmium oxide",
    "SO3": "sulphur trioxide; sulfur trioxide; sulphuric anhydride; sulfuric anhydride; "
    "sulphate; sulfate",
    "F": "fluorine; fluoride",
    "Cl": "chlorine; chloride",
    "Rb2O": "rubidium oxide; rubidia",
    "Cs2O": "caesium oxide; cesium oxide",
    "GeO2": "germania; germanium oxide; germanium dioxide",
    "Y2O3": "yttria; yttrium oxide",
    "ThO2": "thoria; thorium oxide",
}
"""Names by the formula they stand for. “Lead”, “antimony” and “arsenic” alone are the oxides in
the trade's mouth (24 % lead crystal is 24 % PbO), and the note says so."""

_TWO_READINGS = {
    name.strip(): tuple(readings.split(","))
    for name, readings in (
        entry.split(":")
        for entry in re.split(
            r";\s*",
            "sodium:Na,Na2O; potassium:K,K2O; calcium:Ca,CaO; magnesium:Mg,MgO; lithium:Li,Li2O; "
            "aluminium:Al,Al2O3; aluminum:Al,Al2O3; silicon:Si,SiO2; boron:B,B2O3; barium:Ba,BaO; "
            "strontium:Sr,SrO; zinc:Zn,ZnO; iron:Fe,Fe2O3,FeO; total iron:Fe,Fe2O3,FeO; "
            "manganese:Mn,MnO,MnO2; copper:Cu,CuO,Cu2O; cobalt:Co,CoO; co:Co,CoO; nickel:Ni,NiO; "
            "chromium:Cr,Cr2O3; chrome:Cr,Cr2O3; tin:Sn,SnO2; titanium:Ti,TiO2; "
            "zirconium:Zr,ZrO2; bismuth:Bi,Bi2O3; phosphorus:P,P2O5; sulphur:S,SO3; sulfur:S,SO3; "
            "cerium:Ce,CeO2; neodymium:Nd,Nd2O3; erbium:Er,Er2O3; cadmium:Cd,CdO; "
            "selenium:Se,SeO2; silver:Ag,Ag2O; uranium:U,UO2,U3O8; uranium oxide:UO2,U3O8",
        )
    )
}
"""Names that could be any of these."""

_SUMS = {
    **dict.fromkeys(("alkali", "alkalis", "alkalies", "r2o", "na2o+k2o", "k2o+na2o"), "Na2O, K2O"),
    **dict.fromkeys(("ro", "cao+mgo", "mgo+cao", "alkaline earths"), "CaO, MgO"),
    "r2o3": "Al2O3, Fe2O3",
}
"""Oxides summed up in one figure."""

_RAW_MATERIALS = frozenset(
    re.split(
        r";\s*",
        "soda ash; natron; pearl ash; pearlash; sand; quartz sand; silica sand; limestone; chalk; "
        "whiting; marble; dolomite; borax; boric acid; feldspar; felspar; nepheline syenite; "
        "spodumene; petalite; nitre; niter; saltpetre; saltpeter; soda nitre; potash nitre; "
        "red lead; minium; white lead; lead silicate; barytes; barite; witherite; salt cake; "
        "glauber's salt; gypsum; bone ash; cullet; batch; cryolite; fluorspar; wood ash; "
        "plant ash; fern ash; barilla; glasswort; kelp; flint; clay; kaolin; talc; magnesite; "
        "zircon; sodium carbonate; potassium carbonate; calcium carbonate; barium carbonate; "
        "lithium carbonate; sodium nitrate; potassium nitrate; zaffre; smalt",
    )
)

_LEFT_OUT = frozenset(
    re.split(
        r";\s*",
        "o; oxygen; loi; l.o.i.; l.o.i; loss on ignition; ignition loss; h2o; h2o+; h2o-; water; "
        "moisture; co2; carbon dioxide; o=f; o=cl; o=f,cl; o=cl,f; o≡f; o≡cl; less o; o equivalent",
    )
)
"""What an analysis may list that is not in the glass as counted here."""

_TOTAL_IRON = re.compile(
    r"(?P<oxide>feo|fe2o3)\s?(?:\*|\(?\s?(?:t|tot|total)\.?\s?\)?)"
    r"|(?:(?:total|all)\s+)?(?:iron|fe)\s+as\s+(?P<as>feo|fe2o3)"
    r"|(?:total|all)\s+(?P<of>feo|fe2o3)",
)


def _metal(formula: str) -> str:
    return next(iter(e for e in formula_of(formula) if e != "O"), "O")


def _converted(written: str, named: str, oxide: str, kind: NameKind) -> Component:
    """What is named counted as an oxide of the same metal, atom for atom."""
    metal = _metal(named)
    moles = formula_of(named)[metal] / formula_of(oxide)[metal]
    factor = moles * MOLAR_MASS[oxide] / formula_mass(named)
    return Component(written, oxide, kind, factor, moles)


@functools.cache
def _by_name() -> dict[str, str]:
    return {
        name.strip().casefold(): formula
        for formula, names in _OTHER_NAMES.items()
        for name in names.split(";")
    }


_OTHER_BY_FOLDED = {formula.casefold(): formula for formula in _OTHER_OXIDES}


def name_phrases() -> tuple[str, ...]:
    """Names of more than one word, the longest first, for a reader that splits at spaces."""
    known = {*_by_name(), *_TWO_READINGS, *_SUMS, *_RAW_MATERIALS, *_LEFT_OUT}
    several = (name for name in known if re.search(r"[\s(=≡,]", name))
    return tuple(sorted(several, key=lambda name: (-len(name), name)))


def folded(text: str) -> str:
    """A name in lower case with plain digits and single spaces: ``"Lead_Oxide"`` as well."""
    plain = unicodedata.normalize("NFKC", text).casefold()
    return re.sub(r"\s+\(", "(", " ".join(plain.replace("_", " ").split()))


def find_component(text: str) -> Component | None:
    """What a name stands for, or ``None`` if it is none (a raw material is none either).

    Parameters
    ----------
    text : str
        An oxide in any case (``"SIO2"``), an element as chemists write it or in capitals
        (``"Na"``, ``"NA"``), or a trade or mineral name (``"soda"``, ``"iron oxide"``).

    Raises
    ------
    CompositionError
        The name has more than one reading; ``field`` is the text.
    """
    written = " ".join(text.split())
    oxide = find_oxide(written)
    if oxide is not None:
        return Component(oxide, oxide)
    plain = unicodedata.normalize("NFKC", written)
    symbol = plain if plain in _ELEMENTS else plain.capitalize()
    if symbol in _ELEMENTS and (plain == symbol or (plain.isupper() and plain != "CO")):
        return _converted(written, symbol, _ELEMENTS[symbol], NameKind.ELEMENT)
    name = folded(written)
    if name in _OTHER_BY_FOLDED:
        formula = _OTHER_BY_FOLDED[name]
        return _converted(written, formula, _OTHER_OXIDES[formula], NameKind.OTHER_OXIDE)
    formula = _by_name().get(name, "")
    if formula in MOLAR_MASS:
        return Component(written, formula, NameKind.OTHER_NAME)
    if formula:
        return _converted(written, formula, _OTHER_OXIDES[formula], NameKind.OTHER_OXIDE)
    iron = _TOTAL_IRON.fullmatch(name)
    if iron is not None:
        found = find_oxide(next(part for part in iron.groups() if part))
        return Component(written, found or "Fe2O3", NameKind.TOTAL_IRON)
    if name in _LEFT_OUT and not (name == "o" and plain != "O"):
        return Component(written, "", NameKind.LEFT_OUT)
    if name in _TWO_READINGS:
        raise _more_than_one(written, _TWO_READINGS[name])
    if name in _SUMS:
        raise CompositionError(
            f"“{written}” stands for several oxides together.",
            field=written,
            remedy=f"Give each by itself ({_SUMS[name]}).",
        )
    return None


def component(text: str) -> Component:
    """What a name stands for.

    Raises
    ------
    CompositionError
        The name is unknown, has more than one reading, or is a raw material.
    """
    found = find_component(text)
    if found is None:
        raise unknown_name(text)
    return found


def unknown_name(text: str) -> CompositionError:
    """The error for a name that stands for nothing known, with what may have been meant."""
    written = " ".join(text.split())
    if folded(written) in _RAW_MATERIALS:
        return CompositionError(
            f"“{written}” is a raw material, not an oxide in the glass.",
            field=written,
            remedy="Give the analysis of the glass, not its batch.",
        )
    remedy = "Check the spelling (SiO2, Na2O, CaO ...), or leave it out."
    with_letter = find_oxide(written.replace("0", "O"))
    if with_letter is not None:
        remedy = f"Did you mean {with_letter}, with the letter O?"
    elif written.capitalize() in _ELEMENTS:
        element = written.capitalize()
        remedy = f"Write {element} for the element or {_ELEMENTS[element]} for the oxide."
    return CompositionError(
        f"“{written}” is not an oxide in the table.", field=written, remedy=remedy
    )


def _more_than_one(written: str, readings: tuple[str, ...]) -> CompositionError:
    said = [f"the element {r}" if r in ATOMIC_WEIGHT else r for r in readings]
    several = ", ".join(said[:-1]) + f" or {said[-1]}"
    return CompositionError(
        f"“{written}” could mean {several}.",
        field=written,
        remedy=f"Write {', '.join(readings[:-1])} or {readings[-1]}.",
    )
