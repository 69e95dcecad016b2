/* What the mount asks for, in sentences. */
#pragma once

#include "core/study/mount.h"
#include "words/wording.h"

G_BEGIN_DECLS

/* All return (transfer full). */

/* One finding, with the cure. */
char *dwn_word_mount_finding (const DwnWording *wording, const DwnMountFinding *finding);

/* How far the antenna of that number hangs from the next and should: "1.5 m from the UHF antenna, at least
 * 1.0 m", with the isolation where it is known; empty where there is no other. */
char *dwn_word_separation (const DwnWording *wording, const DwnChain *gear, guint antenna);

/* "540 N·m", by the wording "398 lbf·ft"; "80 N", "18 lbf"; "800 Pa", "16.7 lbf/ft²". */
char *dwn_word_moment (const DwnWording *wording, double moment_nm);
char *dwn_word_force (const DwnWording *wording, double force_n);
char *dwn_word_pressure (const DwnWording *wording, double pressure_pa);

/* (element-type utf8): what belongs on the sheet for this mount: the distance to power lines, the
 * ladder, conductors by their least size, and who decides. Attics get theirs alone. NULL with
 * @error where the data file cannot be used. */
GPtrArray *dwn_word_mount_cautions (const DwnWording *wording, const DwnPlan *plan,
                                    const DwnMountStudy *study, const DwnMountRules *rules,
                                    GError **error);

/* (element-type utf8): the figures of it that a page of cautions in words still lacks: how far power
 * lines have to be, what has to be mended at this mount, conductors; nothing indoors and in an attic. */
GPtrArray *dwn_word_mount_figures (const DwnWording *wording, const DwnPlan *plan,
                                   const DwnMountStudy *study, GError **error);

G_END_DECLS
