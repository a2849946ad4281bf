//! What classes share: a class says by `like` what it takes over from the files of `rules/connections/like/`, and beside that only where
//! it differs.
//!
//! Takes the values of a class as typed and a way to those of the files that it names; gives the values of the whole class, each knowing
//! where it was typed, or what stands in the way. Whether they make sense is left to the reading that follows. It knows no other part of
//! the program, since the build script uses it too.

use std::collections::BTreeMap;

use serde_json::Value;

/// Keys that are gone once a class is whole.
pub(crate) const HELPERS: [&str; 4] = ["like", "words", "branches", "check"];
/// More files than this are not taken over by one class.
const MOST_TAKEN: usize = 50;

/// One step down from the root of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Step {
    Key(String),
    Index(usize),
}

/// Where a value was typed: the name of the shared file, none for the class's own, and the steps down from its root.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Origin {
    pub(crate) file: Option<String>,
    pub(crate) steps: Vec<Step>,
}

/// Something that stands in the way of laying a class together.
#[derive(Debug)]
pub(crate) struct Flaw {
    pub(crate) at: Origin,
    pub(crate) message: String,
    /// The name that is not known and those that are, where that is what is wrong.
    pub(crate) unknown: Option<(String, Vec<String>)>,
    /// The way out, where it is a way of its own.
    #[allow(dead_code, reason = "ours are mended where the message says")]
    pub(crate) help: Option<&'static str>,
}

/// A class laid together.
#[derive(Debug)]
pub(crate) struct Whole {
    root: Node,
    /// The shared files that it takes over, itself or through others, each once.
    #[allow(dead_code, reason = "the build script keeps it for the program")]
    pub(crate) taken: Vec<String>,
}

impl Whole {
    /// Its values, as they would stand in one file.
    pub(crate) fn value(&self) -> Value {
        self.root.value()
    }

    /// Where the value at these steps was typed; for one that was typed nowhere, what it would stand in.
    pub(crate) fn origin(&self, steps: &[Step]) -> &Origin {
        let mut at = &self.root;
        for step in steps {
            let next = match (&at.kind, step) {
                (Kind::Map(fields), Step::Key(key)) => fields.get(key),
                (Kind::List(items), Step::Index(index)) => items.get(*index),
                _ => None,
            };
            match next {
                Some(next) => at = next,
                None => break,
            }
        }
        &at.origin
    }
}

/// A value that knows where it was typed.
#[derive(Debug, Clone)]
struct Node {
    origin: Origin,
    kind: Kind,
}

#[derive(Debug, Clone)]
enum Kind {
    One(Value),
    List(Vec<Node>),
    Map(BTreeMap<String, Node>),
}

/// Lays a class together; `shared` gives the values of a shared file by its name.
pub(crate) fn whole(
    own: Value,
    shared: &mut dyn FnMut(&str) -> Option<Value>,
) -> Result<Whole, Vec<Flaw>> {
    let Whole { mut root, taken } = part(own, shared)?;
    let mut flaws = Vec::new();
    root.finish(&mut flaws);
    if flaws.is_empty() {
        Ok(Whole { root, taken })
    } else {
        Err(flaws)
    }
}

/// Lays a shared file together with what it takes over; its words are left for the class that takes it over to fill in.
pub(crate) fn part(
    own: Value,
    shared: &mut dyn FnMut(&str) -> Option<Value>,
) -> Result<Whole, Vec<Flaw>> {
    let mut taking = Taking {
        shared,
        open: Vec::new(),
        taken: Vec::new(),
        count: 0,
        flaws: Vec::new(),
    };
    let root = taking.laid(own, &Origin::default());
    if taking.flaws.is_empty() {
        Ok(Whole {
            root,
            taken: taking.taken,
        })
    } else {
        Err(taking.flaws)
    }
}

/// The way through the files that a class takes over.
struct Taking<'a> {
    shared: &'a mut dyn FnMut(&str) -> Option<Value>,
    /// The shared files that are being laid together now, the outermost first.
    open: Vec<String>,
    taken: Vec<String>,
    count: usize,
    flaws: Vec<Flaw>,
}

impl Taking<'_> {
    /// What a file takes over, with its own values over that.
    fn laid(&mut self, own: Value, origin: &Origin) -> Node {
        let mut own = Node::new(own, origin);
        let mut under = Node {
            origin: origin.clone(),
            kind: Kind::Map(BTreeMap::new()),
        };
        for (name, at) in own.take("like").map(names).unwrap_or_default() {
            if let Some(base) = self.base(&name, &at) {
                under.lay(base, true);
            }
        }
        let branches = own.take("branches");
        under.lay(own, true);
        // What is not there would only be missed once more.
        if let Some(branches) = branches.filter(|_| self.flaws.is_empty()) {
            under.change_branches(branches, &mut self.flaws);
        }
        under
    }

    fn base(&mut self, name: &str, at: &Origin) -> Option<Node> {
        self.count += 1;
        let wrong = if self.open.iter().any(|open| open == name) {
            Some(format!("`{name}` would be like itself"))
        } else if self.count > MOST_TAKEN {
            Some(format!("more than {MOST_TAKEN} files are taken over"))
        } else {
            None
        };
        if let Some(message) = wrong {
            self.flaws.push(Flaw::new(at, message));
            return None;
        }
        let Some(value) = (self.shared)(name) else {
            let mut flaw = Flaw::new(at, format!("there is nothing named `{name}` to be like"));
            flaw.unknown = Some((name.to_owned(), Vec::new()));
            self.flaws.push(flaw);
            return None;
        };
        if !self.taken.iter().any(|taken| taken == name) {
            self.taken.push(name.to_owned());
        }
        self.open.push(name.to_owned());
        let origin = Origin {
            file: Some(name.to_owned()),
            steps: Vec::new(),
        };
        let node = self.laid(value, &origin);
        self.open.pop();
        Some(node)
    }
}

impl Flaw {
    fn new(at: &Origin, message: String) -> Self {
        Self {
            at: at.clone(),
            message,
            unknown: None,
            help: None,
        }
    }
}

impl Node {
    fn new(value: Value, origin: &Origin) -> Self {
        let below = |step: Step| {
            let mut below = origin.clone();
            below.steps.push(step);
            below
        };
        let kind = match value {
            Value::Array(items) => {
                let items = items.into_iter().enumerate();
                let item =
                    |(index, item): (usize, Value)| Self::new(item, &below(Step::Index(index)));
                Kind::List(items.map(item).collect())
            }
            Value::Object(fields) => {
                let field = |(key, field): (String, Value)| {
                    let at = below(Step::Key(key.clone()));
                    (key, Self::new(field, &at))
                };
                Kind::Map(fields.into_iter().map(field).collect())
            }
            one => Kind::One(one),
        };
        Self {
            origin: origin.clone(),
            kind,
        }
    }

    fn value(&self) -> Value {
        match &self.kind {
            Kind::One(value) => value.clone(),
            Kind::List(items) => Value::Array(items.iter().map(Self::value).collect()),
            Kind::Map(fields) => {
                let fields = fields.iter();
                Value::Object(
                    fields
                        .map(|(key, field)| (key.clone(), field.value()))
                        .collect(),
                )
            }
        }
    }

    fn text(&self) -> Option<&str> {
        match &self.kind {
            Kind::One(Value::String(text)) => Some(text),
            _ => None,
        }
    }

    fn field(&self, key: &str) -> Option<&Self> {
        match &self.kind {
            Kind::Map(fields) => fields.get(key),
            _ => None,
        }
    }

    fn field_mut(&mut self, key: &str) -> Option<&mut Self> {
        match &mut self.kind {
            Kind::Map(fields) => fields.get_mut(key),
            _ => None,
        }
    }

    fn take(&mut self, key: &str) -> Option<Self> {
        match &mut self.kind {
            Kind::Map(fields) => fields.remove(key),
            _ => None,
        }
    }

    /// The list behind a key; none where there is no list.
    fn list(&mut self, key: &str) -> Option<&mut Vec<Self>> {
        match &mut self.field_mut(key)?.kind {
            Kind::List(items) => Some(items),
            _ => None,
        }
    }

    fn is_nothing(&self) -> bool {
        matches!(self.kind, Kind::One(Value::Null))
    }

    /// Lays another value over this one: map into map, key by key; a key with nothing behind it takes away what stood there; checks
    /// by their ids. Everything else is replaced.
    fn lay(&mut self, over: Self, root: bool) {
        match (&mut self.kind, over.kind) {
            (Kind::Map(fields), Kind::Map(others)) => {
                self.origin = over.origin;
                for (key, other) in others {
                    match fields.get_mut(&key) {
                        Some(_) if other.is_nothing() => {
                            fields.remove(&key);
                        }
                        Some(field) if root && key == "checks" => field.lay_checks(other),
                        Some(field) => field.lay(other, false),
                        None => {
                            fields.insert(key, other);
                        }
                    }
                }
            }
            (_, kind) => {
                self.origin = over.origin;
                self.kind = kind;
            }
        }
    }

    /// Lays checks over these: one of a known id over that of the same id, and all in the order of the new list, behind those that it
    /// does not name.
    fn lay_checks(&mut self, over: Self) {
        let (Kind::List(under), Kind::List(others)) = (&mut self.kind, over.kind) else {
            return;
        };
        self.origin = over.origin;
        let id = |check: &Self| check.field("id").and_then(Self::text).map(str::to_owned);
        for other in others {
            let known = under
                .iter()
                .position(|check| id(check).is_some() && id(check) == id(&other));
            match known {
                Some(at) => {
                    let mut check = under.remove(at);
                    check.lay(other, false);
                    under.push(check);
                }
                None => under.push(other),
            }
        }
    }

    /// Changes, adds and takes away branches by their names.
    fn change_branches(&mut self, changes: Self, flaws: &mut Vec<Flaw>) {
        let Kind::Map(changes) = changes.kind else {
            let message = "branches are told apart by their names: a map is expected".to_owned();
            flaws.push(Flaw::new(&changes.origin, message));
            return;
        };
        let mut left: Vec<(String, Self)> = changes.into_iter().collect();
        loop {
            let count = left.len();
            left.retain(|(name, change)| !self.change_branch(name, change));
            if left.len() == count {
                break;
            }
        }
        for (name, change) in left {
            let at = change.field("before").and_then(Self::text);
            let flaw = self.no_branch(at.unwrap_or(&name), &change);
            flaws.push(flaw);
        }
    }

    /// Changes one branch, or puts a new one before the one that it names; whether there was such a one.
    fn change_branch(&mut self, name: &str, change: &Self) -> bool {
        let mut change = change.clone();
        let before = change.take("before");
        let at = before.as_ref().map_or(Some(name), Self::text);
        let Some((branches, index)) = at.and_then(|at| self.branch(at)) else {
            return false;
        };
        if before.is_some() {
            let word = Self::new(Value::String(name.to_owned()), &change.origin);
            change.insert("as", word);
            branches.insert(index, change);
        } else if change.is_nothing() {
            branches.remove(index);
        } else if let Some(branch) = branches.get_mut(index) {
            branch.lay(change, false);
        }
        true
    }

    fn insert(&mut self, key: &str, value: Self) {
        if let Kind::Map(fields) = &mut self.kind {
            fields.insert(key.to_owned(), value);
        }
    }

    /// The list of branches with one of that name, and its place in it.
    fn branch(&mut self, name: &str) -> Option<(&mut Vec<Self>, usize)> {
        let named = |branch: &Self| branch.field("as").and_then(Self::text) == Some(name);
        self.branches().find_map(|branches| {
            let at = branches.iter().position(named)?;
            Some((branches, at))
        })
    }

    /// The branches of each check.
    fn branches(&mut self) -> impl Iterator<Item = &mut Vec<Self>> {
        let checks = self.list("checks").into_iter().flatten();
        checks.filter_map(|check| check.list("verdicts"))
    }

    fn no_branch(&mut self, name: &str, change: &Self) -> Flaw {
        let names = self.branches().flatten();
        let names = names.filter_map(|branch| branch.field("as")?.text());
        let known = names.map(str::to_owned).collect();
        let message = format!(
            "no branch is named `{name}`; a new one says with `before` which one it stands before"
        );
        let mut flaw = Flaw::new(&change.origin, message);
        flaw.unknown = Some((name.to_owned(), known));
        flaw
    }

    /// Gives each branch the check that all share, fills in the words, and takes away what only served that. What comes apart says how it
    /// is put together, or with `none` that nothing has to.
    fn finish(&mut self, flaws: &mut Vec<Flaw>) {
        let check = self.take("check");
        let words = self.take("words");
        let words = words.map(|mut words| {
            // A word may be made of others, but not of such as are made of others again.
            let plain = dictionary(&words, flaws);
            words.fill(&plain, flaws);
            let mut deeper = Vec::new();
            words.fill(&BTreeMap::new(), &mut deeper);
            flaws.extend(deeper.into_iter().map(|flaw| {
                let message =
                    "this word is made of a word that is itself made of one: write it out";
                Flaw::new(&flaw.at, message.to_owned())
            }));
            dictionary(&words, &mut Vec::new())
        });
        for branch in self.branches().flatten() {
            branch.take("as");
            let own = branch.field("check");
            if own.is_some_and(|own| own.text() == Some("none")) {
                branch.take("check");
            } else if let (None, Some(shared)) = (own, &check) {
                branch.insert("check", shared.clone());
            }
        }
        if let Some(release) = self.field_mut("release") {
            let refit = release.field("refit");
            if refit.is_some_and(|refit| refit.text() == Some("none")) {
                release.take("refit");
            } else if refit.is_none_or(Self::is_nothing) && release.field("task").is_some() {
                let message = "it is taken apart and never put together";
                let mut flaw = Flaw::new(&release.origin, message.to_owned());
                flaw.help = Some(
                    "give its `refit`, or `refit: none` where nothing comes apart, or every corrective task puts it together",
                );
                flaws.push(flaw);
            }
        }
        self.fill(&words.unwrap_or_default(), flaws);
    }

    /// Puts words in the places of their names, `<name>`, in every text.
    fn fill(&mut self, words: &BTreeMap<String, String>, flaws: &mut Vec<Flaw>) {
        match &mut self.kind {
            Kind::One(Value::String(text)) if text.contains('<') => match filled(text, words) {
                Ok(full) => *text = full,
                Err(name) => {
                    let message = format!("`<{name}>` stands for no word of this class");
                    let mut flaw = Flaw::new(&self.origin, message);
                    flaw.unknown = Some((name, words.keys().cloned().collect()));
                    flaw.help =
                        Some("a class gives each word of what it takes over under `words`;");
                    flaws.push(flaw);
                }
            },
            Kind::One(_) => {}
            Kind::List(items) => items.iter_mut().for_each(|item| item.fill(words, flaws)),
            Kind::Map(fields) => fields
                .values_mut()
                .for_each(|field| field.fill(words, flaws)),
        }
    }
}

/// A text, or each of a list of texts, with its place.
fn names(node: Node) -> Vec<(String, Origin)> {
    let items = match node.kind {
        Kind::List(items) => items,
        _ => vec![node],
    };
    let name = |item: Node| Some((item.text()?.to_owned(), item.origin));
    items.into_iter().filter_map(name).collect()
}

fn dictionary(words: &Node, flaws: &mut Vec<Flaw>) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    let Kind::Map(fields) = &words.kind else {
        return found;
    };
    for (name, word) in fields {
        match word.text() {
            Some(text) => {
                found.insert(name.clone(), text.to_owned());
            }
            None => flaws.push(Flaw::new(&word.origin, "a word is a text".to_owned())),
        }
    }
    found
}

/// A text with its words filled in; fails with the first name that stands for none.
fn filled(text: &str, words: &BTreeMap<String, String>) -> Result<String, String> {
    let mut full = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, behind)) = rest.split_once('<') {
        full.push_str(before);
        let name = behind.split_once('>').filter(|(name, _)| is_name(name));
        if let Some((name, after)) = name {
            full.push_str(words.get(name).ok_or_else(|| name.to_owned())?);
            rest = after;
        } else {
            full.push('<');
            rest = behind;
        }
    }
    full.push_str(rest);
    Ok(full)
}

fn is_name(text: &str) -> bool {
    !text.is_empty()
        && text
            .bytes()
            .all(|byte| byte.is_ascii_lowercase() || byte == b'_')
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn lay(own: Value, shared: &Value) -> Result<Whole, Vec<Flaw>> {
        whole(own, &mut |name| shared.get(name).cloned())
    }

    fn base() -> Value {
        json!({
            "cautions": {"words": {"hot": "It is hot."}},
            "run": {
                "like": "cautions",
                "words": {"it": "line"},
                "settings": {"reserve": {"label": "slack left in the <it>", "value": 30}},
                "checks": [{"id": "pull", "verdicts": [
                    {"as": "serves", "when": "a", "verdict": "leave"},
                    {"as": "short", "verdict": "replace", "task": {"cautions": ["<hot>"]}},
                ]}],
            },
            "round": {"like": "about"},
            "about": {"like": ["cautions", "round"]},
        })
    }

    #[test]
    fn what_a_class_says_lies_over_what_it_takes() {
        let own = json!({
            "like": "run", "words": {"it": "hose"}, "title": "Hose", "settings": {"reserve": {"value": 40}}, "check": {"title": "look"},
            "checks": [{"id": "bend", "verdicts": [{"verdict": "leave", "check": "none"}]}, {"id": "pull", "applies": "x"}],
            "branches": {"short": {"verdict": "extend"}, "torn": {"before": "old", "when": "t"}, "old": {"before": "short", "when": "b"}},
        });
        let whole = lay(own, &base()).unwrap();
        assert_eq!(
            whole.value(),
            json!({
                "title": "Hose",
                "settings": {"reserve": {"label": "slack left in the hose", "value": 40}},
                "checks": [
                    {"id": "bend", "verdicts": [{"verdict": "leave"}]},
                    {"id": "pull", "applies": "x", "verdicts": [
                        {"when": "a", "verdict": "leave", "check": {"title": "look"}},
                        {"when": "t", "check": {"title": "look"}},
                        {"when": "b", "check": {"title": "look"}},
                        {"verdict": "extend", "task": {"cautions": ["It is hot."]}, "check": {"title": "look"}},
                    ]},
                ],
            })
        );
        assert_eq!(whole.taken, ["run", "cautions"]);
    }

    #[test]
    fn every_value_knows_where_it_was_typed() {
        let own = json!({"like": "run", "branches": {"short": {"verdict": "extend"}}});
        let whole = lay(own, &base()).unwrap();
        let key = |key: &str| Step::Key(key.to_owned());
        let branch = [
            key("checks"),
            Step::Index(0),
            key("verdicts"),
            Step::Index(1),
        ];
        let verdict: Vec<Step> = branch.iter().cloned().chain([key("verdict")]).collect();
        let own = whole.origin(&verdict);
        assert_eq!(
            own.steps,
            [key("branches"), key("short"), key("verdict")],
            "{own:?}"
        );
        assert_eq!(own.file, None);
        let task: Vec<Step> = branch.iter().cloned().chain([key("task")]).collect();
        let taken = whole.origin(&task);
        assert_eq!((taken.file.as_deref(), &taken.steps), (Some("run"), &task));
    }

    #[test]
    fn nothing_behind_a_key_takes_away() {
        let own = json!({"like": "run", "settings": null, "branches": {"serves": null}});
        let value = lay(own, &base()).unwrap().value();
        assert_eq!(value.get("settings"), None);
        assert_eq!(value.pointer("/checks/0/verdicts/1"), None);
    }

    #[test]
    fn what_stands_in_the_way_is_said() {
        let said = |own: Value| -> Vec<String> {
            let flaws = lay(own, &base()).unwrap_err();
            flaws.into_iter().map(|flaw| flaw.message).collect()
        };
        assert_eq!(
            said(json!({"like": "rum"})),
            ["there is nothing named `rum` to be like"]
        );
        assert_eq!(
            said(json!({"like": "round"})),
            ["`round` would be like itself"]
        );
        assert_eq!(
            said(json!({"words": {"it": "x"}, "title": "<that>, and 3 < 4"})),
            ["`<that>` stands for no word of this class"]
        );
        assert_eq!(
            said(json!({"like": "run", "branches": {"shirt": {"verdict": "leave"}}})),
            ["no branch is named `shirt`; a new one says with `before` which one it stands before"]
        );
        assert_eq!(said(json!({"words": {"it": 3}})), ["a word is a text"]);
        let words = json!({"it": "hose", "its": "the <it>", "ends": "ends of <its>"});
        assert_eq!(
            said(json!({"words": words, "title": "<its>"})),
            ["this word is made of a word that is itself made of one: write it out"]
        );
    }
}
