//! How the figures come about, where they hold, and what can hurt.

use crate::document::{Block, Equation, Section};
use crate::findings::Findings;
use crate::runs::Runs;

/// What, formula, symbols and range, source.
type Row = (&'static str, &'static str, &'static str, &'static str);

const EQUATIONS: [Row; 20] = [
    (
        "Each solute in each tank",
        "dm_{i}/dt = Σ q_{in}·c_{i,in} − Σ q_{out}·c_{i} + s_{i}",
        "m mass, q flow, c strength, s what is added, deposited, dissolved. Water and enthalpy have the same balance, with evaporation, heaters and losses. Tanks are well mixed.",
        "Conservation of mass and energy.",
    ),
    (
        "Film that work carries from station k",
        "c_{film,k} = e_{k}·c_{k} + (1 − e_{k})·c_{film,k−1}",
        "e share of the film that is exchanged. Quality is judged on the film that leaves the last station, not on its tank.",
        "Mass balance over a station.",
    ),
    (
        "How a film drains",
        "f(t) = f_{∞} + (f_{0} − f_{∞})·exp(−t/τ)",
        "f film, t time over the tank. Where the scenario gives no numbers, f∞/f0 = 0.3 and τ = 5 s are from memory.",
        "Form of the drain curves in an EPA-grant rinsing manual, appendix D (nmfrc.org/subs/rinsemanD.php).",
    ),
    (
        "Drag-out from a measured rise",
        "(c_{bath} − c_{n})/(c_{bath} − c_{start}) = (V/(V + d))^{n}",
        "n loads, each bringing a volume d of bath liquid into a still rinse of volume V.",
        "Mass balance over the loads.",
    ),
    (
        "Counterflow rinses at constant rate (a check, and the first guess of sizing)",
        "c_{bath}/c_{n} = 1 + r + r^{2} + … + r^{n}",
        "r rinse flow over drag-out, n rinses; perfect mixing, equal drag-in and drag-out, clean feed.",
        "Mass balance over the stages, as in textbooks.",
    ),
    (
        "Deposit and dissolving anode",
        "dm/dt = I·η·M/(z·F)",
        "I current, η efficiency, M molar mass, z charge of the ion.",
        "Faraday's law.",
    ),
    (
        "Vapour pressure over a solution",
        "p = a_{w}·p_{sat}(T),  a_{w} = exp(−M_{w}·Σ ν·φ(m)·m)",
        "φ osmotic coefficient of each salt at 25 °C; ions are paired to salts in proportion to equivalents. Boric acid counts as ideal.",
        "Pitzer's equation with the tables of May, Rowland, Hefter and Königsberger, J. Chem. Eng. Data 56 (2011) 5066. Saturation pressure: IAPWS R7-97 (2012), equation 30.",
    ),
    (
        "Moist air",
        "W = 0.621945·p_{w}/(p − p_{w})",
        "W humidity ratio, p_w vapour pressure, p pressure at the altitude. Enthalpy shares the liquid's reference.",
        "ASHRAE Handbook: Fundamentals (2017), chapter 1, equations 3, 20 and 30.",
    ),
    (
        "Atmospheric evaporator, along the contact",
        "dW/dN = W_{s}(T) − W,  dh/dN = Le·c_{p}·(T − T_{a}) + h_{v}(T)·(W_{s} − W)",
        "N transfer units, T temperature of the solution and T_a of the air, W_s humidity ratio of saturated air at the film, h enthalpy of the air, h_v of the vapour, Le Lewis factor. Solution is cooled and loses water along the way; air may be supersaturated. Solved in counterflow with full balances.",
        "Poppe's method as described by Kloppers and Kröger (2005).",
    ),
    (
        "Transfer units away from the rated point",
        "Me = Me_{r}·[(L/L_{r})/(G/G_{r})]^{−n}",
        "Me Merkel number, L feed, G dry air; n = 0.6 unless given (from memory; 0.4 to 0.8 is usual).",
        "Form usual for packings.",
    ),
    (
        "Open surface, natural part",
        "Sh = 0.14·Ra^{1/3}",
        "Heat and mass transfer from a hot plate that faces up. Published sources on open tanks disagree; within 15 % of one table of heat losses from 43 to 71 °C in still air.",
        "McAdams, Heat Transmission (1954; from memory), by the analogy of heat and mass transfer.",
    ),
    (
        "Open surface, part of the moving air",
        "ṁ = 0.0782·v·(p_{s} − p_{w})/h_{fg}",
        "kg/m²s with v in m/s, pressures in kPa, latent heat in kJ/kg.",
        "ASHRAE Handbook: HVAC Applications, natatoriums (from memory; agrees by conversion with ASHRAE Transactions 104, 1998).",
    ),
    (
        "Saturation",
        "x_{salt}/x_{sat}(T) ≤ 1",
        "Single salts in water at the coldest that a tank gets.",
        "CRC Handbook of Chemistry and Physics, 98th ed. (2017), \"Aqueous solubility of inorganic compounds at various temperatures\".",
    ),
    (
        "Treatment",
        "M^{z+} + z NaOH → M(OH)_{z} + z Na^{+}",
        "Chromium(VI) is reduced first: 4 CrO3 + 6 NaHSO3 + 3 H2SO4 → 2 Cr2(SO4)3 + 3 Na2SO4 + 6 H2O. With the excess of the scenario.",
        "Stoichiometry.",
    ),
    (
        "Net present value",
        "NPV = −C_{0} + Σ S_{y}/(1 + i)^{y}",
        "C what is laid out, S saving of year y at its end, i interest. Equipment is bought again at the end of its life; nothing is credited for what is left of it.",
        "Textbooks of engineering economy.",
    ),
    (
        "Payback with interest",
        "Σ_{y ≤ n} F_{y}/(1 + i)^{y} ≥ 0",
        "F what flows in year y, what is laid out among it. The first time n after which the sum stays above nothing; within a year it grows evenly. Payback without interest is C0/S.",
        "Textbooks of engineering economy.",
    ),
    (
        "Internal rate of return",
        "Σ F_{y}/(1 + r)^{y} = 0",
        "r looked for from −99 % to 10000 % a year over the horizon. Where there are several, or none, that is said instead.",
        "Textbooks of engineering economy.",
    ),
    (
        "Equipment spread over its life (capital recovery)",
        "A = C·i/(1 − (1 + i)^{−n})",
        "A due at the end of each year, C the price of a piece, n its life in years; C/n without interest. It stands in the cost of the recovery alone.",
        "Textbooks of engineering economy (uniform series, capital recovery factor).",
    ),
    (
        "Warming the air that replaces what towers draw from the hall",
        "Q = Σ m_{k}·max(0, h(T_{room}, W_{k}) − h(T_{out,k}, W_{k}))",
        "Over the twelve months k: m dry air that towers draw, W humidity ratio outdoors, h enthalpy of moist air. Towers run in every month as in the settled week; a fan before the contact draws a volume, so that its dry air follows the month's density. Over the efficiency of the boiler it is fuel.",
        "Energy balance; enthalpy as for moist air above.",
    ),
    (
        "Charge on the highest demand",
        "D = 12·p·max(E/Δt)",
        "p price of a kilowatt for a month, E electricity that is taken in a step of the settled week, Δt its length: half an hour to some hours. A meter that takes a quarter of an hour sees somewhat more; heaters that regulate count as their means.",
        "Usual form of such tariffs.",
    ),
];

/// Equations and their sources.
pub(crate) fn method() -> Section {
    let mut section = Section::appendix("Method");
    section.text("The line is compiled to one network of well-mixed vessels, flows, heats and switches. It is followed in time: either with every switch located, or with pumps and thermostats replaced by their means. The settled week is the week that repeats itself in the mean air of the year; solutes that would need years are told at the strength of the first weeks and as growth.");
    for (what, formula, about, source) in EQUATIONS {
        section.blocks.push(Block::Equation(Equation {
            what: what.to_owned(),
            formula: Runs::parse(formula),
            about: about.to_owned(),
            source: source.to_owned(),
        }));
    }
    section.text("Every run books each flow twice, where it leaves and where it arrives; a run whose books miss more than a billionth of what passed is not shown.");
    section
}

/// Where the figures hold.
pub(crate) fn limits(findings: &Findings) -> Section {
    let answers = &findings.line.settled.answers;
    let mut section = Section::appendix("Limits of validity");
    section.list(
        [
            "Solutions from 10 to 70 °C and to about 25 % by mass; beyond that density and water activity are carried on and uncertain.",
            "Towers: 30 to 75 °C solution, −10 to 40 °C air, half to one and a half times rated flows; heat through the shell, uneven wetting and pressure drop are left out.",
            "Conductivities are estimates from limiting ionic conductivities; at bath strength they tell little.",
            "Left out: pH, cyanide and carbonate chemistry, breakdown of organics, speciation.",
            "The averaged model replaces switching by means. Where it has no doubts its means are within 1 % of a run that locates every switch, small flows within 3 %.",
            "Drag-out is the input that matters most and is known least: measure it before money is spent.",
        ]
        .map(str::to_owned)
        .to_vec(),
    );
    if answers.doubts.is_empty() {
        section.text("For this line the averaged model has no doubts.");
    } else {
        section.text("For this line the averaged model has doubts:");
        section.list(answers.doubts.clone());
    }
    section
}

/// What can hurt people.
pub(crate) fn cautions() -> Section {
    let mut section = Section::new("Cautions");
    let all = [
        "Hot solution scalds, and hotter than a plastic tank or tower stands, it ruins them. Never run a feed pump without its blower.",
        "Chromic acid and nickel salts are toxic and cause cancer. Concentrate is as dangerous as the bath it comes from, and so are the mist and droplets that an evaporator's air may carry.",
        "Heaters, pumps and blowers run on mains electricity next to conducting liquid.",
        "Exhaust air must be made up, and may need a permit.",
        "Local codes and licensed practice decide. These are estimates from balances and published correlations, not a design; measure before money is spent.",
    ];
    section
        .blocks
        .push(Block::Caution(all.map(str::to_owned).to_vec()));
    section
}
