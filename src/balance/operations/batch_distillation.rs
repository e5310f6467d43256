//! Batch distillation: a charge boils away in a pot without reflux (Rayleigh, 1902).

use super::{EXCEPT, Kind, Setting, Symbol, Wants, one, one_also, one_or_list};

pub(super) const KIND: Kind = Kind {
    name: "batch distillation",
    also: &["simple distillation"],
    says: "a charge boils down in a pot; the vapour is drawn off as it forms",
    inlets: &[one_or_list("feed")],
    outlets: &[one("distillate"), one_also("residue", &["pot"])],
    outlet_sets: &[],
    settings: &[
        Setting {
            key: "volatility",
            says: "how much more readily one boils: 4 propanone to water",
            takes: Wants::BoilingDown { inlet: "feed", residue: "residue" },
        },
        Setting {
            key: "recovery",
            says: "the share of a component that is distilled over: 90 % ethanol",
            takes: Wants::Recovery { inlet: "feed", outlet: "distillate" },
        },
        Setting {
            key: "azeotrope",
            says: "the most of a component that a distillate can hold: 95.6 % ethanol",
            takes: Wants::Limit { outlet: "distillate" },
        },
        EXCEPT,
    ],
    staging: None,
    roles: &[],
    physics: &[],
    mixes_first: false,
    cautions: &[
        "Anti-bumping granules go in before heating; never heat a closed apparatus, never boil to dryness.",
        "Flammable vapours: electric heating, a condenser that runs, no flame near the receiver.",
    ],
    measures: &[],
    symbol: Symbol::Still,
};
