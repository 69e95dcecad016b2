#include "words/place-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* Less than this is not worth carrying a mast for. */
#define LEAST_GAIN_DB 1.0

static const DwnPlaceView *
view_at (const DwnRaise *raise, guint step, guint station)
{
  return &raise->view[(gsize) step * raise->n_stations + station];
}

/* The step from which on a metre more brings little: the first with nine tenths of what the highest
 * brings, or the one where the path goes over into a better class. */
static guint
step_worth (const DwnRaise *raise, guint station)
{
  double from_db = view_at (raise, 0, station)->margin_db;
  double whole_db = view_at (raise, raise->n - 1, station)->margin_db - from_db;

  for (guint k = 1; k < raise->n; k++)
    if (view_at (raise, k, station)->margin_db - from_db >= 0.9 * whole_db)
      return k;
  return raise->n - 1;
}

static const char *
word_change (const DwnWording *wording, DwnPathClass from, DwnPathClass to)
{
  if (from == DWN_PATH_BLOCKED && to == DWN_PATH_CLEAR)
    return dwn_word (wording, N_(": the path is then clear instead of blocked"));
  if (from == DWN_PATH_BLOCKED && to == DWN_PATH_GRAZING)
    return dwn_word (wording, N_(": nothing stands above the straight line any more"));
  if (from == DWN_PATH_GRAZING && to == DWN_PATH_CLEAR)
    return dwn_word (wording, N_(": the first Fresnel zone is then free"));
  if (from == DWN_PATH_BLOCKED)
    return dwn_word (wording, N_(": what stands in the way is as high as before, but seen less "
                                 "steeply"));
  return "";
}

static void
append_hold (const DwnWording *wording, GString *text, const DwnRaise *raise, guint station)
{
  double from_m = dwn_raise_holds_from_m (raise, station);

  if (view_at (raise, 0, station)->chance >= DWN_CHANCE_HELD)
    return;
  if (isnan (from_m))
    {
      double chance = view_at (raise, raise->n - 1, station)->chance;
      g_autofree char *most = dwn_word_chance (wording, chance);
      g_string_append_printf (text, dwn_word (wording, N_(" The chance rises to %s at most.")),
                              most);
      return;
    }
  g_autofree char *height = dwn_word_height (wording, from_m);
  g_string_append_printf (text, dwn_word (wording, N_(" From %s on it is dependable.")), height);
}

/* Where the field rises and the margin does not, the cable has it. */
static void
append_little (const DwnWording *wording, GString *text, const DwnRaise *raise, guint station)
{
  const DwnPlaceView *here = view_at (raise, 0, station);
  const DwnPlaceView *top = view_at (raise, raise->n - 1, station);
  double field_db = top->field_dbuv_m - here->field_dbuv_m;
  g_autofree char *most = dwn_word_height (wording, raise->rise_m[raise->n - 1]);
  g_autofree char *db = dwn_word_decibels (wording, field_db);

  if (field_db >= 0.5 * LEAST_GAIN_DB)
    g_string_append_printf (
      text, dwn_word (wording, N_("Up to %s more mast bring %s of field, and the longer downlead takes "
                                  "most of that.")), most, db);
  else
    g_string_append_printf (text, dwn_word (wording, N_("Up to %s more mast bring less than 1 dB.")),
                            most);
}

char *
dwn_word_raise (const DwnWording *wording, const DwnRaise *raise, guint station)
{
  GString *text = g_string_new (NULL);

  g_return_val_if_fail (raise->n >= 2 && station < raise->n_stations, g_string_free (text, FALSE));

  guint step = step_worth (raise, station);
  const DwnPlaceView *here = view_at (raise, 0, station), *there = view_at (raise, step, station);
  double gain_db = there->margin_db - here->margin_db;
  g_autofree char *height = dwn_word_height (wording, raise->rise_m[step]);
  g_autofree char *db = dwn_word_decibels (wording, gain_db);

  if (!(gain_db >= LEAST_GAIN_DB))
    {
      append_little (wording, text, raise, station);
      return g_string_free (text, FALSE);
    }
  g_string_append_printf (text, dwn_word (wording, N_("%s more mast bring %s")), height, db);
  g_string_append (text, word_change (wording, here->path_class, there->path_class));
  g_string_append_c (text, '.');
  append_hold (wording, text, raise, station);
  return g_string_free (text, FALSE);
}

const char *
dwn_word_direction (const DwnWording *wording, double bearing_deg)
{
  static const char *const names[] = {
    N_("north"), N_("north-east"), N_("east"), N_("south-east"), N_("south"), N_("south-west"),
    N_("west"), N_("north-west"),
  };
  double eighths = fmod (round (bearing_deg / 45.0), 8.0);

  return dwn_word (wording, names[(int) (eighths < 0.0 ? eighths + 8.0 : eighths)]);
}

char *
dwn_word_spots (const DwnWording *wording, const DwnSpots *spots)
{
  const DwnSpot *best = &spots->spot[spots->best];
  g_autofree char *radius = dwn_word_height (wording, DWN_SPOTS_RADIUS_M);
  g_autofree char *away = dwn_word_height (wording, hypot (best->east_m, best->north_m));
  g_autofree char *db = dwn_word_decibels (wording, spots->gain_db);
  gboolean more_held = best->sum.held > spots->spot[0].sum.held;

  if (!more_held && !(spots->gain_db >= LEAST_GAIN_DB))
    return g_strdup_printf (
      dwn_word (wording, N_("No spot within %s brings the weakest service 1 dB more than this one.")),
      radius);

  double bearing_deg = atan2 (best->east_m, best->north_m) * 180.0 / G_PI;
  const char *direction = dwn_word_direction (wording, bearing_deg);
  if (more_held)
    return g_strdup_printf (
      /* Translators: distance, direction, two counts */
      dwn_word (wording, N_("%s to the %s %u services would be dependable instead of %u.")), away,
      direction, best->sum.held, spots->spot[0].sum.held);
  /* Translators: distance, direction, decibels */
  return g_strdup_printf (
    dwn_word (wording, N_("%s to the %s the weakest service would have %s more.")), away, direction, db);
}
