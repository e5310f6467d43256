//! Stripping: a gas or steam carries a component off out of a liquid.

use super::{EXCEPT, FLOW, Kind, Law, Role, Rule, STAGES, Setting, Staging, Symbol, Wants, one};

pub(super) const KIND: Kind = Kind {
    name: "stripping",
    also: &["desorption"],
    says: "a gas or steam carries a component off out of a liquid",
    inlets: &[one("gas in"), one("liquid in")],
    outlets: &[one("gas out"), one("liquid out")],
    outlet_sets: &[],
    settings: &[
        STAGES,
        FLOW,
        Setting {
            key: "equilibrium",
            says: "in the gas over in the liquid: 15 by mole ratio (or mass ratio, mole fraction, mass fraction)",
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
        through: ("liquid in", "liquid out"),
        against: Some(("gas in", "gas out")),
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
    cautions: &["Steam scalds; what is stripped off may be flammable or harmful: lead it away."],
    measures: &[],
    symbol: Symbol::Column,
};
