//! The shape of the code: which crate and which file may import which, how files
//! open, how long functions are, how many files lie side by side.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use syn::visit::{self, Visit};

/// The floors of the house, the lowest first; crates of one row do not see each
/// other.
const FLOORS: [&[&str]; 11] = [
    &["solid"],
    &["exchange", "printing"],
    &["joinery"],
    &["design"],
    &["statics"],
    &["planner"],
    &["workshop"],
    &["resplit"],
    &["inspection"],
    &["paperwork"],
    &["seamwright"],
];

/// Inspection judges what was made and knows nothing of how.
const HIDDEN_FROM_INSPECTION: [&str; 4] = ["exchange", "planner", "workshop", "resplit"];

fn crates() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../crates")
}

fn floor(name: &str) -> Option<usize> {
    FLOORS.iter().position(|row| row.contains(&name))
}

/// The crates of the workspace that a manifest names.
fn imports(manifest: &str) -> Vec<String> {
    let table: toml::Table = manifest.parse().expect("a manifest is TOML");
    let mut names = BTreeSet::new();
    for part in ["dependencies", "dev-dependencies", "build-dependencies"] {
        if let Some(part) = table.get(part).and_then(|d| d.as_table()) {
            names.extend(part.keys().cloned());
        }
    }
    names.into_iter().filter(|n| floor(n).is_some()).collect()
}

/// Arrows that do not run down.
fn arrows_up(manifests: &BTreeMap<String, String>) -> Vec<String> {
    let mut out = Vec::new();
    for (name, manifest) in manifests {
        let Some(own) = floor(name) else {
            out.push(format!("{name} stands on no floor"));
            continue;
        };
        for other in imports(manifest) {
            let up = floor(&other).is_none_or(|f| f >= own);
            let hidden = name == "inspection" && HIDDEN_FROM_INSPECTION.contains(&other.as_str());
            if up || hidden {
                out.push(format!("{name} imports {other}"));
            }
        }
    }
    out
}

fn manifests() -> BTreeMap<String, String> {
    let folders = fs::read_dir(crates()).unwrap().map(|f| f.unwrap().path());
    folders
        .map(|folder| {
            let name = folder.file_name().unwrap().to_string_lossy().into_owned();
            let text = fs::read_to_string(folder.join("Cargo.toml")).unwrap();
            (name, text)
        })
        .collect()
}

#[test]
fn imports_go_down_and_never_up() {
    assert_eq!(arrows_up(&manifests()), Vec::<String>::new());
}

#[test]
fn a_planted_arrow_is_found() {
    let mut planted = manifests();
    let solid = planted.get_mut("solid").unwrap();
    solid.push_str("\n[build-dependencies]\njoinery.workspace = true\n");
    assert_eq!(arrows_up(&planted), ["solid imports joinery"]);
    let mut planted = manifests();
    let inspection = planted.get_mut("inspection").unwrap();
    inspection.push_str("\n[build-dependencies]\nworkshop.workspace = true\n");
    assert_eq!(arrows_up(&planted), ["inspection imports workshop"]);
}

/// The source files of a crate by the path of their modules: `layout/way`.
fn sources(src: &Path) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    let mut open = vec![src.to_owned()];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let module = path.strip_prefix(src).unwrap().with_extension("");
                let text = fs::read_to_string(&path).unwrap();
                out.insert(module.to_string_lossy().into_owned(), text);
            }
        }
    }
    out
}

/// What a file takes from its crate: paths that begin with `crate`.
#[derive(Default)]
struct Taken(Vec<Vec<String>>);

impl Taken {
    fn tree(&mut self, tree: &syn::UseTree, before: &[String]) {
        let with = |ident: &syn::Ident| [before, &[ident.to_string()]].concat();
        match tree {
            syn::UseTree::Path(path) => self.tree(&path.tree, &with(&path.ident)),
            syn::UseTree::Name(name) => self.0.push(with(&name.ident)),
            syn::UseTree::Rename(name) => self.0.push(with(&name.ident)),
            syn::UseTree::Glob(_) => self.0.push(before.to_vec()),
            syn::UseTree::Group(group) => group.items.iter().for_each(|t| self.tree(t, before)),
        }
    }
}

fn is_test(attributes: &[syn::Attribute]) -> bool {
    attributes.iter().any(|a| {
        a.path().is_ident("cfg") && a.parse_args::<syn::Ident>().is_ok_and(|i| i == "test")
    })
}

impl<'a> Visit<'a> for Taken {
    fn visit_item_mod(&mut self, module: &'a syn::ItemMod) {
        if !is_test(&module.attrs) {
            visit::visit_item_mod(self, module);
        }
    }

    fn visit_item_use(&mut self, item: &'a syn::ItemUse) {
        self.tree(&item.tree, &[]);
    }

    fn visit_path(&mut self, path: &'a syn::Path) {
        self.0
            .push(path.segments.iter().map(|s| s.ident.to_string()).collect());
        visit::visit_path(self, path);
    }
}

/// For each file of a crate the files that it imports.
fn file_arrows(sources: &BTreeMap<String, String>) -> BTreeMap<String, BTreeSet<String>> {
    let parsed: BTreeMap<&String, syn::File> = sources
        .iter()
        .map(|(name, text)| (name, syn::parse_file(text).expect("it compiles")))
        .collect();
    // What the root hands on under a shorter name.
    let mut root = BTreeMap::new();
    if let Some(lib) = sources.keys().find(|name| *name == "lib") {
        let mut taken = Taken::default();
        taken.visit_file(&parsed[lib]);
        for path in taken.0 {
            if let Some(file) = file_of(&path, sources) {
                root.insert(path.last().cloned().unwrap_or_default(), file);
            }
        }
    }
    let rooms = |name: &str| name == "lib" || name == "main" || name.ends_with("mod");
    sources
        .keys()
        .filter(|name| !rooms(name))
        .map(|name| {
            let mut taken = Taken::default();
            taken.visit_file(&parsed[name]);
            let from_crate = taken.0.iter().filter(|p| p[0] == "crate");
            let files = from_crate.filter_map(|path| {
                let inner = &path[1..];
                let known = inner.first().and_then(|first| root.get(first).cloned());
                file_of(inner, sources).or(known)
            });
            let others: BTreeSet<String> = files.filter(|f| f != name).collect();
            (name.clone(), others)
        })
        .collect()
}

/// The file that a path leads to.
fn file_of(path: &[String], sources: &BTreeMap<String, String>) -> Option<String> {
    (1..=path.len())
        .map(|n| path[..n].join("/"))
        .rfind(|file| sources.contains_key(file))
}

/// A circle of files, if there is one.
fn circle(arrows: &BTreeMap<String, BTreeSet<String>>) -> Option<Vec<String>> {
    // Files that import nothing which is left are taken away until none is.
    let mut left = arrows.clone();
    loop {
        let done: Vec<String> = left
            .iter()
            .filter(|(_, to)| to.iter().all(|t| !left.contains_key(t)))
            .map(|(name, _)| name.clone())
            .collect();
        if done.is_empty() {
            break;
        }
        for name in done {
            left.remove(&name);
        }
    }
    let mut way = vec![left.keys().next()?.clone()];
    loop {
        let next = left[way.last()?].iter().find(|t| left.contains_key(*t))?;
        if let Some(at) = way.iter().position(|w| w == next) {
            return Some(way.split_off(at));
        }
        way.push(next.clone());
    }
}

#[test]
fn no_files_import_each_other_in_a_circle() {
    for name in manifests().keys() {
        let arrows = file_arrows(&sources(&crates().join(name).join("src")));
        assert_eq!(circle(&arrows), None, "in {name}");
    }
}

#[test]
fn a_planted_circle_is_found() {
    let mut planted = sources(&crates().join("joinery/src"));
    let kind = planted.get_mut("kind/joint_kind").unwrap();
    kind.push_str("\nfn planted(_: crate::kind::abilities::Hold) {}\n");
    let found = circle(&file_arrows(&planted));
    assert_eq!(
        found.map(|c| c.into_iter().collect::<BTreeSet<_>>()),
        Some(BTreeSet::from(
            ["kind/abilities", "kind/joint_kind"].map(String::from)
        ))
    );
}

#[test]
fn every_file_opens_with_what_it_is() {
    for name in manifests().keys() {
        for (file, text) in sources(&crates().join(name).join("src")) {
            let line = text.lines().next().unwrap_or_default();
            let words = line.strip_prefix("//! ").unwrap_or_default();
            assert!(words.len() > 8, "{name}/{file} opens with: {line}");
            assert!(!words.starts_with("TODO"), "{name}/{file}: {line}");
        }
    }
}

/// The longest that a function may be without a reason beside it.
const LONGEST: usize = 80;
/// How such a reason begins.
const REASON: &str = "Long because";

struct Functions<'a> {
    lines: Vec<&'a str>,
    too_long: Vec<String>,
}

impl Functions<'_> {
    fn check(&mut self, signature: &syn::Signature, block: &syn::Block) {
        let (from, to) = (
            signature.fn_token.span.start().line,
            block.brace_token.span.close().end().line,
        );
        let before = self.lines[..from].iter().rev().take(12);
        let has_reason = before
            .take_while(|l| !l.trim().is_empty())
            .any(|l| l.contains(REASON));
        if to - from + 1 > LONGEST && !has_reason {
            let name = &signature.ident;
            self.too_long
                .push(format!("{name}: {} lines", to - from + 1));
        }
    }
}

impl<'a> Visit<'a> for Functions<'_> {
    fn visit_item_fn(&mut self, item: &'a syn::ItemFn) {
        self.check(&item.sig, &item.block);
        visit::visit_item_fn(self, item);
    }

    fn visit_impl_item_fn(&mut self, item: &'a syn::ImplItemFn) {
        self.check(&item.sig, &item.block);
        visit::visit_impl_item_fn(self, item);
    }
}

#[test]
fn no_function_is_longer_than_a_screen_without_a_reason() {
    let mut too_long = Vec::new();
    for name in manifests().keys() {
        for (file, text) in sources(&crates().join(name).join("src")) {
            let mut functions = Functions {
                lines: text.lines().collect(),
                too_long: Vec::new(),
            };
            functions.visit_file(&syn::parse_file(&text).expect("it compiles"));
            let of_file = functions.too_long.into_iter();
            too_long.extend(of_file.map(|f| format!("{name}/{file}: {f}")));
        }
    }
    assert_eq!(too_long, Vec::<String>::new());
}

#[test]
fn no_folder_holds_more_than_fifteen_files_side_by_side() {
    for name in manifests().keys() {
        let mut count: BTreeMap<String, usize> = BTreeMap::new();
        for file in sources(&crates().join(name).join("src")).keys() {
            let folder = file.rsplit_once('/').map_or("", |(folder, _)| folder);
            let is_room = file.ends_with("mod") || file == "lib";
            *count.entry(folder.to_owned()).or_default() += usize::from(!is_room);
        }
        let full: Vec<_> = count.iter().filter(|(_, n)| **n > 15).collect();
        assert!(full.is_empty(), "{name}: {full:?}");
    }
}
