//! Absorption: a liquid takes a component up from a gas.

use super::{EXCEPT, FLOW, Kind, Law, Role, Rule, STAGES, Setting, Staging, Symbol, Wants, one};

pub(super) const KIND: Kind = Kind {
    name: "absorption",
    also: &["scrubbing"],
    says: "a liquid takes a component up out of a gas",
    inlets: &[one("gas in"), one("liquid in")],
    outlets: &[one("gas out"), one("liquid out")],
    outlet_sets: &[],
    settings: &[
        STAGES,
        FLOW,
        Setting {
            key: "equilibrium",
            says: "in the gas over in the liquid: 1.5 by mole ratio (or mass ratio, mole fraction, mass fraction)",
            takes: Wants::Ratio {
                above: ("gas out", Role::Gas),
                below: ("liquid out", Role::Solvent),
                law: Law::Equilibrium,
            },
        },
        EXCEPT,
    ],
    staging: Some(Staging {
        count: "stages",
        through: ("gas in", "gas out"),
        against: Some(("liquid in", "liquid out")),
        given_off: None,
    }),
    roles: &[Role::Gas, Role::Solvent],
    physics: &[
        Rule::Without { name: "no gas dissolves", outlet: "liquid out", role: Role::Gas },
        Rule::Without { name: "no gas dissolves", outlet: "liquid in", role: Role::Gas },
        Rule::Without { name: "no solvent evaporates", outlet: "gas in", role: Role::Solvent },
        Rule::Without { name: "no solvent evaporates", outlet: "gas out", role: Role::Solvent },
    ],
    mixes_first: false,
    cautions: &[
        "Irritant or toxic gas: fume cupboard, a trap against sucking back, supplier's sheet at hand.",
    ],
    measures: &[],
    symbol: Symbol::Column,
};
