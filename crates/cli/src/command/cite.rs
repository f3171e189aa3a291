//! `springline cite`.

use crate::Ended;
use crate::failure::Failure;
use crate::output::print;

/// Sources with the tag of how each was read: [R] in the source, [R abstract] in its abstract,
/// [R2] as quoted by another, [M] from memory.
const SOURCES: &str = "\
Segment masses and centres
  de Leva (1996) J Biomech 29(9):1223-1230, Table 4 [R in an open course's data files]
  Dempster, as in Winter (2009) 4th ed., Table 4.1 [R in the same data files]
  head mass of a child: Jensen (1989) J Biomech 22:529-536 [R]
Smoothing: zero-lag Butterworth with corrected cut-off
  Winter (2009) Biomechanics and Motor Control of Human Movement, 4th ed., p. 69 [R2]
Extrapolated centre of mass
  Hof et al. (2005) J Biomech 38:1-8 [M]
Landing: mass between heel and toe
  Sheets & Hubbard [R abstract]
Point uncertainty of pose models
  COCO keypoint evaluation, OKS sigmas [R]
The sources of bands and deductions stand in each drill: `springline drills explain ID`.
Tags: [R] read in the source, [R abstract] only its abstract, [R2] as quoted by another, [M] from memory, unchecked.
";

pub(crate) fn run() -> Result<Ended, Failure> {
    let version = env!("CARGO_PKG_VERSION");
    print(&format!(
        "Springline {version}: measures of gymnastics drills from joint points, with their uncertainty. [Computer program]\n\
         Name with it: drill id, version and sha256, point layout, segment table, cut-off, kind of point sd and seed, as\n\
         every review and every row carries them.\n\n\
         @software{{springline,\n  title = {{Springline: measures of gymnastics drills from joint points}},\n  \
         version = {{{version}}},\n  note = {{Computer program, MIT OR Apache-2.0}}\n}}\n\n{SOURCES}"
    ))?;
    Ok(Ended::Done)
}
