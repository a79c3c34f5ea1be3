//! Closed lists a person chooses from: a code that is stored and sent, a label that is shown.

/// A closed list. Made with [`choices!`](crate::choices).
pub trait Choice: Sized + Copy + PartialEq + 'static {
    /// All of them, in the order they are offered.
    const ALL: &'static [Self];
    /// What the list is called in messages: `stage`.
    const WORD: &'static str;
    /// The code stored and sent.
    fn code(self) -> &'static str;
    /// The label shown.
    fn label(self) -> &'static str;
    /// The choice of that code.
    fn from_code(code: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|c| c.code() == code)
    }
    /// All codes, for messages about an unknown one.
    fn allowed() -> String {
        Self::ALL.iter().map(|c| c.code()).collect::<Vec<_>>().join(", ")
    }
}

/// Defines a closed list: `choices! { /// doc … pub enum Side = "side" { Left = "left", "left rail"; … } }`.
#[macro_export]
macro_rules! choices {
    ($(#[$meta:meta])* pub enum $name:ident = $word:literal { $($(#[$vmeta:meta])* $variant:ident = $code:literal, $label:literal;)+ }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        pub enum $name {
            $($(#[$vmeta])* #[doc = $label] #[serde(rename = $code)] $variant,)+
        }
        impl $crate::choice::Choice for $name {
            const ALL: &'static [Self] = &[$($name::$variant),+];
            const WORD: &'static str = $word;
            fn code(self) -> &'static str { match self { $($name::$variant => $code),+ } }
            fn label(self) -> &'static str { match self { $($name::$variant => $label),+ } }
        }
    };
}
