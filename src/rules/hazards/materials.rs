//! Materials that can hurt, as words a teacher writes, with what they are.
//!
//! Properties are common knowledge of school laboratories, from memory, no source; the
//! supplier's safety data sheet decides. A `*` at the end of a word takes any ending.

/// Liquids that burn. GHS statements H224 to H226 of those with one, from memory.
pub(super) const FLAMMABLE: &[&str] = &[
    "ethanol",
    "methanol",
    "propanol",
    "propan-1-ol",
    "propan-2-ol",
    "isopropanol",
    "butanol",
    "propanone",
    "acetone",
    "butanone",
    "pentane",
    "hexane",
    "heptane",
    "cyclohexane",
    "petroleum ether",
    "petroleum spirit",
    "diethyl ether",
    "ethoxyethane",
    "ethyl ethanoate",
    "ethyl acetate",
    "toluene",
    "methylbenzene",
    "benzene",
    "xylene",
    "petrol",
    "kerosene",
    "paraffin",
    "turpentine",
    "limonene",
    "methylated spirit*",
    "white spirit",
    "surgical spirit",
    "flammable solvent*",
    "flammable liquid*",
    "essential oil*",
    "lavender oil",
    "crude oil",
    "wine",
];

/// After these words a name means no liquid at hand: an ethanol thermometer.
pub(super) const NOT_THE_LIQUID: &[&str] = &["thermometer*", "burner*", "lamp*", "bath*"];

/// Things that hold a naked flame.
pub(super) const FLAMES: &[&str] = &[
    "flame",
    "flames",
    "burner",
    "burners",
    "bunsen",
    "bunsens",
    "candle",
    "candles",
    "tea light*",
    "spirit lamp*",
    "blowtorch",
    "open fire",
    "over a fire",
    "over the fire",
];

/// Solvents and salts that do not go down a sink.
pub(super) const NOT_FOR_THE_SINK: &[&str] = &[
    "ethyl ethanoate",
    "ethyl acetate",
    "cyclohexane",
    "hexane",
    "heptane",
    "pentane",
    "toluene",
    "methylbenzene",
    "xylene",
    "benzene",
    "petroleum ether",
    "diethyl ether",
    "dichloromethane",
    "trichloromethane",
    "chloroform",
    "turpentine",
    "limonene",
    "white spirit",
    "propanone",
    "acetone",
    "copper sulfate",
    "copper sulphate",
    "copper ii",
    "blue vitriol",
    "lead ii",
    "lead nitrate",
    "lead iodide",
    "silver nitrate",
    "nickel",
    "cobalt",
    "chromate",
    "dichromate",
    "mercury",
    "cadmium",
    "barium",
    "zinc sulfate",
    "organic solvent*",
    "waste solvent*",
];

/// Solids that lose their water, and substances that char or burn, when dried out hot.
pub(super) const SPOILT_BY_DRYNESS: &[&str] = &[
    "copper sulfate",
    "copper sulphate",
    "copper ii sulfate",
    "blue vitriol",
    "magnesium sulfate",
    "epsom salt*",
    "iron ii sulfate",
    "iron sulfate",
    "zinc sulfate",
    "washing soda",
    "alum",
    "hydrate",
    "hydrates",
    "hydrated",
    "benzoic acid",
    "benzenecarboxylic acid",
    "citric acid",
    "aspirin",
    "caffeine",
    "organic",
    "plant extract",
    "essential oil*",
    "oil",
];

/// Acids by name; `acid` itself is one unless a word before it says otherwise.
pub(super) const ACIDS: &[&str] = &["acid", "acids", "vinegar", "acidify", "acidified"];

/// Acids that make no gas with hypochlorite in a laboratory.
pub(super) const NO_SUCH_ACIDS: &[&str] = &["fatty", "amino", "nucleic"];

/// What gives chlorine with acids.
pub(super) const BLEACHES: &[&str] = &[
    "bleach",
    "bleaching powder",
    "hypochlorite",
    "chlorate i",
    "chlorine compound*",
    "javel water",
    "pool chlorine",
];
