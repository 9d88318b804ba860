"""Agreement of people with each other and with the reference: one door to all measures."""

from training.statistics.attribute_study import (
    AppraiserStudy,
    AttributeStudy,
    PairKappa,
    Rate,
    Verdict,
    attribute_study,
)
from training.statistics.chance_agreement import (
    Coefficient,
    CohenKappa,
    FleissKappa,
    KappaReading,
    cohen_kappa,
    fleiss_kappa,
    gwet_ac1,
    kappa_reading,
    krippendorff_alpha,
)
from training.statistics.zone_method import ZoneMethod, zone_method

__all__ = [
    "AppraiserStudy",
    "AttributeStudy",
    "Coefficient",
    "CohenKappa",
    "FleissKappa",
    "KappaReading",
    "PairKappa",
    "Rate",
    "Verdict",
    "ZoneMethod",
    "attribute_study",
    "cohen_kappa",
    "fleiss_kappa",
    "gwet_ac1",
    "kappa_reading",
    "krippendorff_alpha",
    "zone_method",
]
