//! Derived constants: what an operation hands the GPU, by name, before any layout.

/// One constant of a shader's settings struct.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Constant {
    /// `f32`.
    Scalar(f64),
    /// `f32`: a place where two branches meet. Moving it a little does not show, since the branches meet there.
    Break(f64),
    /// `vec3f`.
    Triple([f64; 3]),
    /// `mat3x3f`, given by rows.
    Matrix([[f64; 3]; 3]),
    /// `u32`: the number of entries of the step's table, or along each edge of it.
    TableLength(u32),
    /// `u32`: where the step's table begins in the pass's tables; filled by the assembler.
    TableStart,
}

/// The constants of one step in the order of the shader's struct.
pub type Constants = Vec<(&'static str, Constant)>;

/// What a step computes from its settings for the GPU, in f64; it is cast to f32 when it is packed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Derived {
    /// Members of the shader's struct, in order.
    pub constants: Constants,
    /// Entries for the pass's table buffer; empty for most.
    pub table: Vec<f64>,
}

impl Derived {
    /// Constants alone.
    pub fn new(constants: Constants) -> Self {
        Self { constants, table: Vec::new() }
    }
}

/// Where a step's WGSL is: `structure` holds its constants, `function(structure, rgb) -> rgb` does the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shader {
    /// Path under `shaders/`.
    pub file: &'static str,
    /// What stands in that file.
    pub text: &'static str,
    /// Name of the settings struct in it.
    pub structure: &'static str,
    /// Name of the function in it.
    pub function: &'static str,
}

/// Names a shader file under `shaders/` and takes its text along.
macro_rules! shader {
    ($file:literal, $structure:literal, $function:literal) => {
        $crate::Shader {
            file: $file,
            text: include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../shaders/", $file)),
            structure: $structure,
            function: $function,
        }
    };
}
