//! The certificate of a level in `plan.json`, written and read back.
//!
//! ```text
//! {"suppliers": […], "offers": [{"vessel": …, "line": …}, …], "vessels": […], "fluids": […],
//!  "groups": ["0-5,9", "0-2 of 0", …], "cuts": ["v3/4:0-5,9", "v3/kind:=0", …], "numbers": ["…", …], "tree": ["s0", "0", "p1<=3", "0", "1", …]}
//! ```
//!
//! For the level of fluid it may be `"money"` instead: the certificate of the level of money then bounds fluid too.
//!
//! The first four lists name what the others refer to by position. `groups` lists the lots of each group: the positions of their
//! rows where those of the survey stand in order of their key columns (institution, collection, catalogue number, part), rising; `a-b`
//! stands for two or more that follow each other. ` of ` and a position name the larger group.
//!
//! `cuts` lists what each cut says, `:`, and the lots in it, as those of a group; `=` and a position stand for the same lots as
//! those of the first cut that has them.
//!
//! | text | cut |
//! |---|---|
//! | `v3/4:` | whole packs of vessel 3, by the divisor 4, without spare pieces |
//! | `v3/4+spares:` | the same with spare pieces |
//! | `v3/4+one:` | whole packs of vessel 3, by the divisor 4, one piece to spare where any are bought |
//! | `v3/least:` | a purchase of vessel 3 is the smallest order at least; no lots follow |
//! | `v3/count:` | the pieces of vessel 3 that the lots take; its weight may be below 0 |
//! | `v3/kind:` | vessel 3 is bought |
//! | `v3/s1:` | something is ordered from supplier 1 |
//!
//! `tree` lists the nodes in preorder:
//!
//! | text | node |
//! |---|---|
//! | `2` | a leaf with numbers 2 |
//! | `s1` | a child for each state of supplier 1: closed, paying, and free where it has a threshold |
//! | `p1<=3` | at most 3 packs of offer 1, then more |
//! | `c2<=3` | at most 3 pieces of cut 2, then more |
//! | `l0@v3<=2` | at most 2 lots of group 0 in vessel 3, then more |
//! | `l0@tank<=2` | the same in tanks made to measure |
//! | `l0@wait<=2` | the same deferred |
//!
//! Numbers are one text of seven fields with `|` between them:
//!
//! 1. the weights of a deferred lot of priority 1 to 4, of weighed money, of fluid and of the budget, `,` between them;
//!    then h, of the weighted number of deferred lots, where it is not 0;
//! 2. σ and θ, of a supplier and of a kind, `,` between them;
//! 3. g, of goods: position in `suppliers`, `:`, weight, `,` between them;
//! 4. π, of a piece of each of `vessels`, `,` between them; blank = as in the numbers before (in the first: 0);
//! 5. λ, of owned fluid: position in `fluids`, `:`, weight, `,` between them;
//! 6. θ(o), of offers: position in `offers`, `:`, share, `,` between them;
//! 7. w, of cuts: position in `cuts`, `:`, weight, `,` between them.
//!
//! All are whole. What they mean is in [`crate::decision::certificate`]. Each certificate has one spelling, and no other is read.

mod names;
mod rows;
mod spelling;

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use self::names::Names;
pub(super) use self::rows::KeyOrder;
use self::rows::{read_group, written_group};
use super::object::{Fault, Object};
use super::typed;
use crate::decision::{Aim, Certificate, Level};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::SupplierId;
use crate::units::Position;

/// A certificate. Lists of texts are as described above.
#[derive(PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CertificateFile {
    suppliers: Vec<String>,
    offers: Vec<OfferFile>,
    vessels: Vec<String>,
    fluids: Vec<String>,
    groups: Vec<String>,
    cuts: Vec<String>,
    numbers: Vec<String>,
    tree: Vec<String>,
}

/// An offer, by its vessel and its line of the stock list.
#[derive(PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct OfferFile {
    vessel: String,
    line: usize,
}

/// The certificate of a level as a file holds it.
pub(super) fn written(project: &Project, order: &KeyOrder, level: &Level) -> Value {
    if level.aim == Aim::Fluid && level.certificate.is_empty() {
        return json!(Aim::Money.name());
    }
    typed::value(&CertificateFile::of(project, order, &level.certificate))
}

impl CertificateFile {
    fn of(project: &Project, order: &KeyOrder, certificate: &Certificate) -> Self {
        let (stock, rules) = (&project.stock, &project.rules);
        let names = Names::of(project, certificate);
        let offer = |offer: &usize| {
            let offer = &stock.offers[*offer];
            OfferFile { vessel: stock.vessel(offer.vessel).id.clone(), line: offer.line }
        };
        let mut before = vec![0; names.vessels.len()];
        CertificateFile {
            suppliers: names.suppliers.iter().map(|supplier| stock.supplier(*supplier).name.clone()).collect(),
            offers: names.offers.iter().map(offer).collect(),
            vessels: names.vessels.iter().map(|vessel| stock.vessel(*vessel).id.clone()).collect(),
            fluids: names.fluids.iter().map(|fluid| rules.fluid(*fluid).id.clone()).collect(),
            groups: certificate.groups.iter().map(|group| written_group(order, group)).collect(),
            cuts: names.written_cuts(order, &certificate.cuts),
            numbers: certificate.numbers.iter().map(|numbers| names.written(numbers, &mut before)).collect(),
            tree: certificate.nodes.iter().map(|node| names.written_node(node)).collect(),
        }
    }

    /// What the positions refer to.
    ///
    /// # Errors
    /// What the project does not have.
    fn names(&self, project: &Project) -> Result<Names, Fault> {
        let (stock, fluids) = (&project.stock, &project.rules.fluids);
        let supplier = |name: &String| stock.suppliers.iter().position(|supplier| supplier.name == *name);
        let offer = |line: &OfferFile| {
            let vessel = stock.vessel_named(&line.vessel)?;
            stock.offers.iter().position(|offer| offer.vessel == vessel && offer.line == line.line)
        };
        let fluid = |id: &String| fluids.iter().position(|fluid| fluid.id == *id);
        Ok(Names {
            suppliers: each("suppliers", &self.suppliers, "no supplier of the project", |name| {
                supplier(name).map(SupplierId::at)
            })?,
            offers: each("offers", &self.offers, "this line holds no offer of this vessel", offer)?,
            vessels: each("vessels", &self.vessels, "no vessel of the stock list", |id| stock.vessel_named(id))?,
            fluids: each("fluids", &self.fluids, "no fluid of the rules", |id| fluid(id).map(FluidId::at))?,
        })
    }

    /// The certificate.
    ///
    /// # Errors
    /// What the project does not have, what is spelled otherwise than it is written, by its field.
    fn certificate(&self, project: &Project, order: &KeyOrder) -> Result<Certificate, Fault> {
        let names = self.names(project)?;
        let groups = each("groups", &self.groups, "not the rows of a group", |text| read_group(order, text))?;
        let mut certificate = Certificate { groups, ..Certificate::default() };
        let mut held = 0;
        for (position, text) in self.cuts.iter().enumerate() {
            let cut = names.cut(order, &certificate.cuts, text).filter(|cut| {
                held += cut.rows.len();
                held <= MOST_HELD
            });
            let wrong = || Fault::at(&format!("cuts[{position}]"), "not a vessel, its kind, and rows");
            certificate.cuts.push(cut.ok_or_else(wrong)?);
        }
        let mut before = vec![0; names.vessels.len()];
        let numbers = |text: &String| names.numbers(text, &mut before);
        certificate.numbers = each("numbers", &self.numbers, "not seven fields of numbers", numbers)?;
        certificate.nodes = each("tree", &self.tree, "no node", |text| names.node(text))?;
        if CertificateFile::of(project, order, &certificate) != *self {
            return Err(Fault::at("", "not as a certificate is written"));
        }
        Ok(certificate)
    }
}

/// What is made of each item of a list.
///
/// # Errors
/// The first that is none, with what is wrong with it.
fn each<T, Item>(
    list: &str,
    items: &[Item],
    wrong: &str,
    mut read: impl FnMut(&Item) -> Option<T>,
) -> Result<Vec<T>, Fault> {
    let read = |(position, item)| read(item).ok_or_else(|| Fault::at(&format!("{list}[{position}]"), wrong));
    items.iter().enumerate().map(read).collect()
}

/// The certificate of a level, read.
pub(super) fn read(
    project: &Project,
    order: &KeyOrder,
    level: &Object,
    aim: Aim,
    certificate: &Value,
) -> Option<Certificate> {
    if certificate == Aim::Money.name() && aim == Aim::Fluid {
        return Some(Certificate::default());
    }
    let object = Object::new(&level.at(CERTIFICATE), certificate, level.findings)?;
    let file: CertificateFile = object.rest_as()?;
    object.or_wrong_here(file.certificate(project, order))
}

/// The field of a level that holds its certificate.
const CERTIFICATE: &str = "certificate";

/// The most rows that all cuts of a certificate may name together: short text can name very many, which would fill the memory.
const MOST_HELD: usize = 1 << 27;
