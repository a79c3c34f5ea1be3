//! What is measured, at which end, from where.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

macro_rules! named {
    ($(#[$meta:meta])* $name:ident { $($(#[$vmeta:meta])* $variant:ident = $key:literal, $word:literal;)+ }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        pub enum $name {
            $($(#[$vmeta])* #[doc = $word] #[serde(rename = $key)] $variant,)+
        }
        impl $name {
            /// All, in the order they are offered.
            pub const ALL: &'static [$name] = &[$($name::$variant),+];
            /// As kept.
            pub fn key(self) -> &'static str { match self { $($name::$variant => $key),+ } }
            /// In words.
            pub fn word(self) -> &'static str { match self { $($name::$variant => $word),+ } }
            /// The one of that key.
            pub fn from_key(key: &str) -> Option<$name> {
                $name::ALL.iter().copied().find(|n| n.key() == key)
            }
        }
    };
}

named! {
    /// What is measured.
    What {
        CouplerHeight = "coupler_height", "coupler height";
        BufferHeight = "buffer_height", "buffer height";
        BodyHeight = "body_height", "body height over the rail";
        SkirtHeight = "skirt_height", "tank or skirt height";
        FloorHeight = "floor_height", "frame top or floor height";
        ScrewPlace = "screw_place", "screw place";
        Wheelbase = "wheelbase", "wheelbase";
        BogieCentres = "bogie_centres", "distance of the bogie centres";
        Overhang = "overhang", "overhang";
        Length = "length", "length over buffers";
        Other = "other", "something else";
    }
}

named! {
    /// Which end.
    End {
        Front = "front", "front";
        Rear = "rear", "rear";
        Neither = "neither", "neither end";
    }
}

named! {
    /// Where it is measured from.
    From {
        RailTop = "rail_top", "rail top";
        ChassisUnderside = "chassis_underside", "chassis underside";
        FrameTop = "frame_top", "frame top";
        ShellLip = "shell_lip", "lower edge of the shell";
        FrontBeam = "front_beam", "front beam, centre line";
        FirstAxle = "first_axle", "first axle";
        Other = "other", "elsewhere";
    }
}

impl What {
    /// Three lengths, x back from the front, y to the left, z up, instead of one.
    pub fn is_place(self) -> bool {
        self == What::ScrewPlace
    }

    /// It sits on the shell rather than on the chassis.
    pub fn on_shell(self) -> bool {
        matches!(
            self,
            What::BodyHeight
                | What::SkirtHeight
                | What::BufferHeight
                | What::Length
                | What::Overhang
                | What::Other
        )
    }

    /// It hangs on the wheelsets, whatever it is measured from.
    pub fn of_wheels(self) -> bool {
        matches!(self, What::Wheelbase | What::BogieCentres)
    }

    /// Measured at either end.
    pub fn has_ends(self) -> bool {
        matches!(
            self,
            What::CouplerHeight
                | What::BufferHeight
                | What::BodyHeight
                | What::SkirtHeight
                | What::Overhang
        )
    }

    /// Where it is usually measured from.
    pub fn usual_from(self) -> From {
        match self {
            What::CouplerHeight
            | What::BufferHeight
            | What::BodyHeight
            | What::SkirtHeight
            | What::FloorHeight => From::RailTop,
            What::ScrewPlace | What::Length => From::FrontBeam,
            What::Wheelbase | What::BogieCentres | What::Overhang => From::FirstAxle,
            What::Other => From::Other,
        }
    }
}
