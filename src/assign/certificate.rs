//! Writes the tree of a search as a certificate.

use std::collections::{BTreeSet, HashMap};
use std::rc::Rc;

use super::bound::Multipliers;
use super::formulation::{Formulation, Variable};
use super::instance::Instance;
use super::tree::{State, Tree};
use crate::decision::certificate::{Certificate, Cut, Group, LotChoice, Node};
use crate::decision::{ClassIndex, Question};
use crate::units::index;

/// The tree in preorder, with the multipliers of its leaves, and the groups and cuts that these and its splits use.
pub fn of_tree(tree: &Tree, formulation: &Formulation) -> Certificate {
    let mut writer = CertificateWriter {
        instance: tree.instance,
        certificate: Certificate::default(),
        numbers: HashMap::new(),
        by_value: HashMap::new(),
        groups: HashMap::new(),
    };
    let mut left = vec![0];
    while let Some(at) = left.pop() {
        match &tree.nodes[at].state {
            State::Closed(numbers, _) | State::Open(Some(numbers)) => writer.leaf(numbers),
            State::Open(None) => writer.leaf(&Rc::new(Multipliers::alone(tree.instance, tree.aim, &tree.reached))),
            State::Split(column, at_most, children) => {
                writer.split(formulation.variables[*column], *at_most);
                left.extend(children.iter().rev());
            }
        }
    }
    writer.cuts(formulation);
    writer.certificate
}

struct CertificateWriter<'a> {
    instance: &'a Instance<'a>,
    certificate: Certificate,
    numbers: HashMap<*const Multipliers, usize>,
    by_value: HashMap<crate::decision::certificate::Numbers, usize>,
    /// By class and, for splits on deferred lots of a class with several runs, run.
    groups: HashMap<(ClassIndex, Option<usize>), usize>,
}

impl CertificateWriter<'_> {
    /// Adds the cuts that have multipliers or are split on, and renumbers them in nodes and multipliers.
    fn cuts(&mut self, formulation: &Formulation) {
        let question = self.instance.question;
        let Certificate { nodes, numbers, .. } = &mut self.certificate;
        let mut split: Vec<&mut usize> = nodes
            .iter_mut()
            .filter_map(|node| if let Node::Pieces { cut, .. } = node { Some(cut) } else { None })
            .collect();
        let weighed = numbers.iter_mut().flat_map(|numbers| numbers.cuts.iter_mut().map(|(cut, _)| cut));
        split.extend(weighed);
        let used: BTreeSet<usize> = split.iter().map(|cut| **cut).collect();
        let used: Vec<usize> = used.into_iter().collect();
        for cut in split {
            *cut = used.partition_point(|other| other < cut);
        }
        for cut in used.into_iter().map(|cut| &formulation.cuts[cut]) {
            let mut rows: Vec<u32> = cut.lots.iter().flat_map(|&(class, _)| rows(question, class, None)).collect();
            rows.sort_unstable();
            let vessel = question.supplies[cut.supply].vessel;
            self.certificate.cuts.push(Cut { vessel, form: cut.form, rows });
        }
    }

    fn leaf(&mut self, multipliers: &Rc<Multipliers>) {
        let known = self.numbers.get(&Rc::as_ptr(multipliers)).copied();
        let numbers = known.unwrap_or_else(|| {
            let numbers = multipliers.numbers(self.instance);
            let list = &mut self.certificate.numbers;
            let at = *self.by_value.entry(numbers.clone()).or_insert_with(|| {
                list.push(numbers);
                list.len() - 1
            });
            self.numbers.insert(Rc::as_ptr(multipliers), at);
            at
        });
        self.certificate.nodes.push(Node::Leaf { numbers });
    }

    fn split(&mut self, variable: Variable, at_most: i64) {
        let question = self.instance.question;
        let node = match variable {
            Variable::Supplier(supplier, _) => Node::Supplier(question.suppliers[supplier].supplier),
            Variable::Packs(offer) => Node::Packs { offer: index(self.instance.offers[offer].terms.offer), at_most },
            Variable::Placed(class, choice) => {
                let supply = self.instance.choices(class)[choice].supply;
                let vessel = supply.map(|supply| question.supplies[supply].vessel);
                let place = vessel.map_or(LotChoice::Tank, LotChoice::Vessel);
                Node::Lots { group: self.group(class, None), place, at_most }
            }
            Variable::Waiting(class, run) => {
                let run = (self.instance.runs[class].len() > 1).then_some(run);
                Node::Lots { group: self.group(class, run), place: LotChoice::Waiting, at_most }
            }
            Variable::Count(cut) => Node::Pieces { cut, at_most },
            Variable::Kind(_) | Variable::Bought(_) => return,
        };
        self.certificate.nodes.push(node);
    }

    fn group(&mut self, class: ClassIndex, run: Option<usize>) -> usize {
        if let Some(&known) = self.groups.get(&(class, run)) {
            return known;
        }
        let within = run.map(|_| self.group(class, None));
        let rows = rows(self.instance.question, class, run.map(|run| &self.instance.runs[class][run]));
        let at = self.certificate.groups.len();
        self.certificate.groups.push(Group { rows, within });
        self.groups.insert((class, run), at);
        at
    }
}

fn rows(question: &Question, class: ClassIndex, run: Option<&super::instance::Run>) -> Vec<u32> {
    let members = &question.classes[class].members;
    let members = run.map_or(&members[..], |run| &members[run.start..run.start + run.len]);
    let mut rows: Vec<u32> = members.iter().map(|member| member.specimen).collect();
    rows.sort_unstable();
    rows
}
