#include "words/site-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* A cable has two ends. */

const char *
dwn_word_mount (const DwnWording *wording, DwnMount mount)
{
  static const char *const names[DWN_N_MOUNTS] = { N_("mast"), N_("wall"), N_("chimney"), N_("attic"),
                                                   N_("indoors") };

  return dwn_word (wording, names[mount]);
}

static gboolean
is_outdoors (DwnMount mount)
{
  return mount == DWN_MOUNT_MAST || mount == DWN_MOUNT_WALL || mount == DWN_MOUNT_CHIMNEY;
}

static void
add (GPtrArray *lines, const DwnWording *wording, const char *text)
{
  g_ptr_array_add (lines, g_strdup (dwn_word (wording, text)));
}

static char *
aims_check (const DwnWording *wording, const DwnFindings *findings)
{
  g_autoptr (GString) aims = g_string_new (NULL);

  for (guint a = 0; a < findings->plan->gear->n_antennas; a++)
    {
      g_autofree char *aim = dwn_word_bearing (wording, findings->aim_deg[a]);
      g_string_append_printf (aims, "%s%s", a > 0 ? ", " : "", aim);
    }
  return g_strdup_printf (dwn_word (wording, N_("Aim set to %s true, clamps tight")), aims->str);
}

static char *
scan_check (const DwnWording *wording, const DwnFindings *findings)
{
  guint held = 0, trial = 0;

  for (guint i = 0; i < findings->budget->n_stations; i++)
    {
      double chance = dwn_station_chance (findings->budget, i);
      held += chance >= DWN_CHANCE_HELD ? 1 : 0;
      trial += chance < DWN_CHANCE_HELD && chance >= DWN_CHANCE_TRIAL ? 1 : 0;
    }
  return g_strdup_printf (dwn_word (wording, N_("Scan: %u dependable, %u worth a trial")),
                          held, trial);
}

static gboolean
has_kind (const DwnChain *gear, DwnPartKind kind)
{
  for (guint k = 0; k < gear->n_parts; k++)
    if (gear->part[k].kind == kind)
      return TRUE;
  return FALSE;
}

GPtrArray *
dwn_word_checks (const DwnWording *wording, const DwnFindings *findings)
{
  GPtrArray *lines = g_ptr_array_new_with_free_func (g_free);
  DwnMount mount = findings->plan->site->mount;

  if (mount == DWN_MOUNT_MAST || mount == DWN_MOUNT_CHIMNEY)
    add (lines, wording, N_("Clamped on a sixth of the mast or more"));
  if (is_outdoors (mount))
    {
      add (lines, wording, N_("Drip loop before the entry"));
      add (lines, wording, N_("Connectors sealed, no electrical tape"));
      add (lines, wording, N_("Mast and shield bonded, straight run"));
    }
  else
    add (lines, wording, N_("Nothing of metal or foil in front of the antenna"));
  if (has_kind (findings->plan->gear, DWN_PART_AMPLIFIER))
    add (lines, wording, N_("Supply voltage present at the amplifier"));
  g_ptr_array_add (lines, aims_check (wording, findings));
  g_ptr_array_add (lines, scan_check (wording, findings));
  add (lines, wording, N_("All outlets read and photographed"));
  return lines;
}

GPtrArray *
dwn_word_cautions (const DwnWording *wording, const DwnPlan *plan)
{
  GPtrArray *lines = g_ptr_array_new_with_free_func (g_free);

  if (is_outdoors (plan->site->mount))
    {
      add (lines, wording, N_("<b>Power lines kill.</b> Stay twice the length of mast and antenna away. "
                              "If it falls, let go."));
      add (lines, wording, N_("Ladder foot out a quarter of its length, rails 0.9 m above the edge. "
                              "Never alone, never in wind, rain, ice or thunder."));
      add (lines, wording, N_("Bonding and grounding follow the local code: leave them to a licensed "
                              "electrician."));
    }
  else
    {
      add (lines, wording, N_("Step on joists only; ceilings do not carry. Light the attic, and mind heat "
                              "and nails."));
      add (lines, wording, N_("Keep clear of house wiring; mains work is for a licensed electrician, and "
                              "the local code decides."));
    }
  if (has_kind (plan->gear, DWN_PART_INSERTER))
    add (lines, wording, N_("Do not unplug the power inserter."));
  return lines;
}

char *
dwn_word_gaps (const DwnWording *wording, const DwnTerrainGaps *gaps)
{
  guint missing = (guint) gaps->n_missing;

  if (missing == 0)
    return NULL;
  g_autofree char *known = g_strdup_printf (
    dwn_word_plural (wording, "%u of %u heights is not known", "%u of %u heights are not known", missing),
    missing, (guint) gaps->n_samples);
  g_autofree char *cells = gaps->absent_cells != NULL ? g_strjoinv (", ", gaps->absent_cells) : g_strdup ("");
  if (cells[0] == '\0')
    return g_steal_pointer (&known);
  return g_strdup_printf (dwn_word (wording, N_("%s; tiles are missing: %s")), known, cells);
}

const char *
dwn_word_path_model (const DwnWording *wording, const char *id)
{
  static const struct {
    const char *id, *name;
  } models[] = {
    { "free-space", N_("free space") },
    { "curves", N_("field-strength curves, without terrain") },
    { "p1812", N_("ITU-R P.1812, with terrain") },
    { "itm", N_("Longley-Rice, with terrain") },
  };

  for (gsize i = 0; i < G_N_ELEMENTS (models); i++)
    if (g_str_equal (models[i].id, id))
      return dwn_word (wording, models[i].name);
  return id;
}
