//! Batch distillation: a charge boils away in a pot without reflux (Rayleigh, 1902).

use super::{AZEOTROPE, BOILING, EXCEPT, Kind, Setting, Symbol, Wants, one, one_also, one_or_list};

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
        AZEOTROPE,
        EXCEPT,
    ],
    staging: None,
    roles: &[],
    physics: &[],
    mixes_first: false,
    cautions: BOILING,
    measures: &[],
    symbol: Symbol::Still,
};
