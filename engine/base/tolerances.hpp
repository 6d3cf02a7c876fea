// Every tolerance has a name, a value and a reason, here and nowhere else.
#pragma once

namespace archwright::tolerance {

// --- geometry of the shell (mm) -----------------------------------------------------------------
/// Greatest distance between a chord of the mesh and the surface it stands for; a fifth of what a 0.1 mm
/// printer layer shows.
inline constexpr double chord_mm = 0.02;
/// Wall gates of docs/decisions.md: from the underside and from the foot side.
inline constexpr double wall_mm = 0.05;
/// Change of wall per mm of plan above which a person is told ("look"): 14 degrees, steeper than any blend of
/// 15 mm between usual walls (4.0 to 2.2 mm: 0.18), where sections begin to change abruptly.
inline constexpr double wall_slope_look = 0.25;
/// Edge curve against its surface in the exact solid.
inline constexpr double edge_mm = 1e-3;
/// Volumes of mesh and solid: relative part, plus 2/3 x chord x (rim + feature area).
inline constexpr double volume_relative = 5e-4;

/// Apertures and posts keep this much more than the rim's reach away from the trim line and from one another,
/// mm in (u,v): less material tears.
inline constexpr double loop_apart_mm = 1.0;
/// Along a post's loop the underside's normal . z, and the cosine between that normal and the wall, are at
/// least this: on steeper places a wall going down slides along the surface.
inline constexpr double post_cosine = 0.2;
/// A post is at least this high everywhere: less is no block but a film.
inline constexpr double post_least_mm = 0.2;
/// A flat built up under the heel lies this far below its lowest place.
inline constexpr double flat_contact_mm = 0.3;

// --- parts of their own (mm) -----------------------------------------------------------------------
/// A part ends where it would be thinner than this: less is a film that tears (our choice).
inline constexpr double part_edge_mm = 0.3;
/// Clearance measured round a plug against the clearance asked.
inline constexpr double part_clearance_mm = 0.02;
/// Faces of a part against the fields they stand for; a fifth of what a 0.1 mm printer layer shows.
inline constexpr double part_fit_mm = 0.02;
/// Two bodies that touch along one face, each meshed within chord_mm of it, cut into one another by their
/// chords: up to two of them is touching.
inline constexpr double part_touch_mm = 2.0 * chord_mm;
/// Share of a part that is lost where it would run over the trim line, above which a person is told.
inline constexpr double part_lost_look = 0.02;

// --- the exact solid ----------------------------------------------------------------------------
/// Interpolated edge curve against its faces: what build_solid aims at, below edge_mm.
inline constexpr double edge_curve_mm = 2e-4;
/// Faces of foot side and underside in the exact solid against the surfaces they were made from, which have
/// more knots: with edge_curve_mm below edge_mm, and far below what a fit leaves.
inline constexpr double solid_face_mm = 1e-4;
/// Tolerance stored with vertices and faces, mm; the geometry library's own confusion is 1e-7.
inline constexpr double solid_point_mm = 1e-6;
/// Relative error asked of the library's volume and area integrals (its default is off by up to 4 %).
inline constexpr double solid_volume_relative = 1e-5;
/// Volume of a solid against the one read back from its STEP file: two integrals.
inline constexpr double step_volume_relative = 3e-5;

// --- the carpet ---------------------------------------------------------------------------------
/// Principal stretches of the flattened carpet inside the trim (measured 0.92-1.19 on thirteen real feet).
inline constexpr double stretch_low = 0.8;
inline constexpr double stretch_high = 1.3;
/// Least distance from the trim line to the end of the scanned patch: with 2 mm the carpet errs by 0.03 mm at
/// the trim, with none by 0.1 mm.
inline constexpr double trim_margin_mm = 4.0;
/// wall x curvature at or above this folds the underside.
inline constexpr double fold_limit = 0.98;
/// Fit to the scan inside the trim: rms above this is explained to a person ("look").
inline constexpr double fit_rms_look_mm = 0.05;
/// Above this the carpet is not of this scan: a scan with 0.25 mm of noise gives 0.11.
inline constexpr double fit_rms_stop_mm = 0.5;

/// A dressed surface further than this from what its dressing asked is told: sharper than the carpet's knots.
inline constexpr double dress_fit_look_mm = 0.1;
/// Cosine between the normals before and after a dressing step below which it turns the surface over.
inline constexpr double dress_turned_cosine = 0.3;
/// A balance that turns a cast corrected or pronated at capture by more than this acts on the correction
/// (degrees; our choice, below what a caster repeats).
inline constexpr double capture_conflict_deg = 1.0;

// --- the trim line against what was asked (mm; our choice, wider than the landmarks' own doubt) ------------
inline constexpr double cup_look_mm = 1.0;
inline constexpr double border_look_mm = 2.0;
inline constexpr double corner_look_share = 0.95;
inline constexpr double cutout_corner_look_share = 0.8;
inline constexpr double scallop_look_mm = 0.75;
/// Rearfoot and forefoot face of one device: it rocks between them beyond this.
inline constexpr double post_faces_look_deg = 0.5;
/// What is not meant to touch the ground stays this far off it.
inline constexpr double ground_clearance_mm = 0.5;
/// The finished foot side against its reliefs and pads; and a depth or height that is not reached.
inline constexpr double feature_fit_look_mm = 0.05;
/// A free control that moves the line by more than this at a place where it would be measured.
inline constexpr double trim_moved_mm = 0.5;

// --- the insole of the shoe (mm) -----------------------------------------------------------------
/// Ends of two pieces of a drawn outline this near are one point: what drawing programs leave open unseen.
inline constexpr double outline_gap_mm = 0.1;
/// Chords of a drawn curve against the curve: a tenth of a thin pencil line.
inline constexpr double outline_chord_mm = 0.01;
/// The heel end of a device touches its line by the way it is laid in the shoe: less than this is that touch.
inline constexpr double shoe_touch_mm = 0.1;
/// Breadths of an insole at its two ends, over the wider one, that must differ before heel and toes are told
/// apart.
inline constexpr double insole_ends_differ = 0.02;

// --- patterns (mm) -------------------------------------------------------------------------------
/// Grid on which outlines are joined and offset; polygon arithmetic on it is exact.
inline constexpr double pattern_grid_mm = 1e-5;
/// Distal edge of the shell laid flat against the same edge in plan: more than this and the part in front of
/// it does not sit where it was drawn ("look"; 0.4 to 1.0 mm on generated feet, and what grinding takes off).
inline constexpr double pattern_join_look_mm = 1.5;
/// Coordinates in pattern files: three decimals.
inline constexpr double pattern_file_mm = 1e-3;

// --- lettering (mm) -------------------------------------------------------------------------------
/// Letters keep this far from the trim line's rim, from apertures and posts: an edge that is ground or
/// polished loses about as much (our choice).
inline constexpr double lettering_rim_mm = 2.0;
/// Depth or height of letters measured on the mesh against what was asked.
inline constexpr double lettering_depth_mm = 0.05;
/// Least breadth of a stroke's floor (raised: of its top): less is a crease that no tool or nozzle makes.
inline constexpr double lettering_floor_mm = 0.2;
/// Points of a letter's outline nearer to one another than this are one point: half of outline_chord_mm.
inline constexpr double lettering_points_mm = 0.005;
/// Normal . z of the underside at a letter below which it is hard to read from below ("look"): 45 degrees.
inline constexpr double lettering_steep_cosine = 0.7;
/// Raised letters that reach below everything else of the device by more than this carry it.
inline constexpr double lettering_stands_mm = 0.02;

// --- reading back what was written (mm) ---------------------------------------------------------
/// STL and 3MF hold float32: 7 digits of some 300 mm.
inline constexpr double float_file_mm = 0.01;
/// Volume of a mesh of float32 points against the one read back: the same points, other order of sums.
inline constexpr double float_volume_relative = 1e-9;
/// The same after 3MF's six decimals: 5e-7 mm over a wall of 1 mm, generously.
inline constexpr double text_volume_relative = 1e-5;
/// Left and right results compared in memory.
inline constexpr double mirror_mm = 1e-9;

// --- solvers (dimensionless) --------------------------------------------------------------------
/// Newton step in (u,v), mm: far below any figure shown.
inline constexpr double newton_step_mm = 1e-9;
/// Lengths and areas below this fraction of the natural size are zero.
inline constexpr double degenerate = 1e-12;

// --- receiving a scan ---------------------------------------------------------------------------
/// The second best way up scores at most this share of the best, or a person is asked.
inline constexpr double up_second_best = 0.6;
/// Surface that would touch the ground, over the foot length squared, below which there is no sole to stand
/// on (scans without a sole 0.03, with one 0.08 and more).
inline constexpr double least_contact = 0.055;
/// Weighted vote for the toes' end and for the side, 0..1, from which a proposal counts as clear (margins
/// chosen on thirteen scans nobody here made and on generated feet; see docs/decisions.md).
inline constexpr double toes_vote_clear = 0.4;
inline constexpr double side_vote_clear = 0.35;
/// Share of the sole that may be open before a scan is refused, and before a person should look.
inline constexpr double sole_open_refused = 0.35;
inline constexpr double sole_open_look = 0.03;
/// Smaller holes are pinholes of the scanner and cost no accuracy (mm across).
inline constexpr double hole_reported_mm = 2.0;
/// A rim rougher than this is kept out of the usable surface; a clean cut of a 0.5 mm scan is below it.
inline constexpr double rim_ragged_mm = 0.5;
/// Share of sampled surface with a second layer near by from which a double wall is looked for in full.
inline constexpr double double_wall_suspected = 0.25;
/// Share of the sole's area whose winding must agree before inside and outside count as clear.
inline constexpr double winding_clear = 0.9;
/// Adult feet in a survey of 6,068 persons, and the shortest foot of a child that walks (mm).
inline constexpr double adult_foot_low_mm = 198.0;
inline constexpr double adult_foot_high_mm = 323.0;
inline constexpr double child_foot_low_mm = 115.0;
/// No foot outside these lengths is believed, however often its unit is stated (our choice, wide of both).
inline constexpr double shortest_foot_mm = 80.0;
inline constexpr double longest_foot_mm = 400.0;

// --- standing and landmarks ---------------------------------------------------------------------
/// Change of the rotation's elements in one round below which a foot stands still: 300 mm times this is far
/// below tolerance::mirror_mm.
inline constexpr double standing_converged = 1e-14;
/// A cast that reaches this far below its three resting points rests elsewhere (mm).
inline constexpr double rest_gap_mm = 0.5;
/// Levelling that turns a foot further than this from where it was received did not understand it (degrees).
inline constexpr double levelled_stop_degrees = 30.0;
/// A landmark further from the cast than this was marked on another one, or mistyped: look, stop (mm).
inline constexpr double landmark_off_look_mm = 4.0;
inline constexpr double landmark_off_stop_mm = 12.0;
/// A landmark further than this from where the shape suggests it (mm): five standard deviations of a
/// suggestion.
inline constexpr double landmark_apart_look_mm = 12.5;
/// Two rests of a cast further apart than this are told: the balance would hang on chance (degrees).
inline constexpr double rocking_look_deg = 0.5;
/// Toes this far below the ground keep a cast from standing flat (mm).
inline constexpr double toes_below_mm = 1.0;
/// Standard deviations of a landmark's place (mm): our choice, until repeated marking gives the laboratory's
/// own (docs/decisions.md).
inline constexpr double suggested_landmark_sd_mm = 2.5;
inline constexpr double set_landmark_sd_mm = 1.0;
/// Standard deviation of a measure taken between extremes of the surface itself (mm), from scanner and mesh.
inline constexpr double surface_measure_sd_mm = 0.3;
/// Standard deviation of a foot length estimated from the ball, as a share of it (ANSUR: sd of the ratio
/// about 0.015, and finding the ball).
inline constexpr double estimated_length_sd = 0.025;

// --- skin marks ---------------------------------------------------------------------------------
/// Ink paler than this share between the plaster round it and black is not offered: shadows of plaster and
/// creases of skin reach 0.1.
inline constexpr double ink_least_contrast = 0.12;
/// Ink found nearer to a mark of the job than this is that mark (mm): a line's breadth and the doubt of both.
inline constexpr double ink_same_mark_mm = 3.0;
/// A mark further than this from the cast lies on another one, or was mistyped (mm).
inline constexpr double mark_off_mm = 4.0;
/// Matched points of a photograph that miss one another by more than this are told (mm): a pencil spot's
/// radius.
inline constexpr double photo_fit_look_mm = 1.0;
/// Matched points whose root mean square is more than this do not hold a photograph (mm): it would lay ink
/// beside the mark it is (ink_same_mark_mm), and further than a usual groove reaches beside a line (2.5 mm).
inline constexpr double photo_fit_stop_mm = ink_same_mark_mm;
/// Matches nearer to one another than this, on the cast and in the picture, are one: a place pointed at twice
/// is off by about as much, and two of them prove no more than one (mm).
inline constexpr double photo_same_match_mm = 2.0;
/// Mean cosine between the way a camera looks and the cast's normal at the matches below which it sees the
/// sole edge-on: a pixel covers five times its size.
inline constexpr double photo_edge_on_cosine = 0.2;

// --- cleaning a scan (dimensionless) ------------------------------------------------------------
/// A point this many sizes of the cast outside it is a scanner's or a file's mistake, not the cast.
inline constexpr double stray_reach = 2.0;
/// A loose part below this share of the largest part's area is debris; parts of a broken cast stay above.
inline constexpr double debris_area_share = 0.05;
/// A second layer close by over this share of the area is a cast scanned on both faces (some 0.9 on such a
/// cast; at most 0.03 on thirteen feet, where toes and webs are thin).
inline constexpr double double_wall_share = 0.45;

}  // namespace archwright::tolerance
