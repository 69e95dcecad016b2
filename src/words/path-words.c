#include "words/path-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* Models as near as this agree. */
#define AGREE_DB 1.0
/* Less than this from the leaves is not worth a sentence. */
#define LEAST_SEASON_DB 0.5

const char *
dwn_word_model (const DwnWording *wording, const DwnPathModel *model)
{
  if (model == &dwn_path_model_p1812)
    return "ITU-R P.1812";
  if (model == &dwn_path_model_itm || model == &dwn_path_model_itm_area)
    return "ITM";
  if (model == &dwn_path_model_curves)
    return dwn_word (wording, N_("the field-strength charts"));
  return dwn_word (wording, N_("free space"));
}

/* What the model goes by. */
static const char *
word_ground (const DwnWording *wording, const DwnPlan *plan, const DwnArrival *arrival,
             const char *station)
{
  if (arrival->model == &dwn_path_model_free_space)
    return dwn_word (wording, N_(", as if nothing stood in between"));
  if (arrival->model->needs_profile)
    return dwn_word (wording, N_(" over the profile of the ground"));
  if (arrival->profile != NULL)
    return dwn_word (wording, N_(", over average ground"));
  if (dwn_paths_find (plan->paths, station) != NULL)
    return dwn_word (wording, N_(" over average ground, for the stored profile has gaps or "
                                 "belongs to another place"));
  return dwn_word (wording, N_(" over average ground, for there is no profile"));
}

static const char *
word_reason (const DwnWording *wording, const DwnPlan *plan, const DwnArrival *arrival)
{
  if (!isnan (plan->method->sd_db))
    return dwn_word (wording, N_("as the plan says"));
  switch (arrival->path_class)
    {
    case DWN_PATH_CLEAR:
      return dwn_word (wording, N_("since the path is clear"));
    case DWN_PATH_GRAZING:
      return dwn_word (wording, N_("since the path is grazed"));
    case DWN_PATH_BLOCKED:
      return dwn_word (wording, N_("since something stands in the way"));
    case DWN_PATH_UNKNOWN:
    default:
      return arrival->haat_assumed
             ? dwn_word (wording, N_("since not even the height of the transmitter is on file"))
             : dwn_word (wording, N_("since the ground is not known"));
    }
}

static gboolean
is_read (const DwnArrival *arrival)
{
  return !isnan (arrival->house_sd_db);
}

static char *
one_opinion (const DwnWording *wording, const DwnPathModel *model, double db, gboolean with_verb)
{
  g_autofree char *size = dwn_word_decibels (wording, fabs (db));
  const char *name = dwn_word_model (wording, model);

  if (with_verb)
    /* Translators: "by ITM it would be 6.2 dB less" */
    return g_strdup_printf (db < 0.0 ? dwn_word (wording, N_("by %s it would be %s less"))
                                     : dwn_word (wording, N_("by %s it would be %s more")),
                            name, size);
  /* Translators: goes on from "by ITM it would be 6.2 dB less, " */
  return g_strdup_printf (db < 0.0 ? dwn_word (wording, N_("by %s %s less"))
                                   : dwn_word (wording, N_("by %s %s more")), name, size);
}

char *
dwn_word_spread (const DwnWording *wording, const DwnArrival *arrival)
{
  gboolean low = arrival->low_model != NULL && arrival->spread_low_db <= -AGREE_DB;
  gboolean high = arrival->high_model != NULL && arrival->spread_high_db >= AGREE_DB;

  if (is_read (arrival) || (arrival->low_model == NULL && arrival->high_model == NULL))
    return g_strdup ("");
  if (!low && !high)
    return g_strdup (dwn_word (wording, N_("the other models agree within 1 dB")));
  if (!low)
    return one_opinion (wording, arrival->high_model, arrival->spread_high_db, TRUE);

  g_autofree char *less = one_opinion (wording, arrival->low_model, arrival->spread_low_db, TRUE);
  if (!high)
    return g_steal_pointer (&less);
  g_autofree char *more = one_opinion (wording, arrival->high_model, arrival->spread_high_db, FALSE);
  return g_strconcat (less, ", ", more, NULL);
}

char *
dwn_word_prediction (const DwnWording *wording, const DwnPlan *plan, const DwnFields *fields,
                     guint station)
{
  const DwnArrival *arrival = &fields->arrival[station];
  const char *model = dwn_word_model (wording, arrival->model);
  const char *ground = word_ground (wording, plan, arrival, plan->stations->station[station].id);
  g_autofree char *sd = dwn_word_decibels (wording, arrival->sd_db);

  if (is_read (arrival))
    {
      g_autofree char *shift = dwn_word_signed (wording, arrival->read_shift_db, 1);
      /* Translators: first "ITU-R P.1812", then " over the profile of the ground" */
      return g_strdup_printf (
        dwn_word (wording, N_("Predicted by %s%s and moved by %s dB to what was read here; uncertain "
                              "by %s, and the other models no longer count.")),
        model, ground, shift, sd);
    }
  g_autofree char *spread = dwn_word_spread (wording, arrival);
  g_autofree char *own = g_strdup_printf (
    /* Translators: model, what it goes by, decibels, why so many */
    dwn_word (wording, N_("Predicted by %s%s, uncertain by %s %s")), model, ground, sd,
    word_reason (wording, plan, arrival));
  return g_strconcat (own, spread[0] != '\0' ? "; " : "", spread, ".", NULL);
}

static char *
word_trees (const DwnWording *wording, const DwnHouseLoss *term)
{
  if (isnan (term->depth_m))
    return g_strdup (dwn_word (wording, N_("a tree")));
  g_autofree char *depth = dwn_word_height (wording, term->depth_m);
  return g_strdup_printf (dwn_word (wording, N_("trees, %s deep")), depth);
}

static const char *
word_roof (const DwnWording *wording, const DwnTables *tables, const DwnHouseLoss *term)
{
  const DwnRoof *roof = dwn_roof_table_find (tables->roofs, term->of);

  return roof != NULL ? dwn_word (wording, roof->name)
                      : dwn_word (wording, N_("roof of unknown build"));
}

char *
dwn_word_house_term (const DwnWording *wording, const DwnTables *tables, const DwnHouseLoss *term)
{
  if (term->name != NULL && term->name[0] != '\0')
    return g_strdup (term->name);
  switch (term->kind)
    {
    case DWN_HOUSE_ROOF:
      return g_strdup (word_roof (wording, tables, term));
    case DWN_HOUSE_BUILDING:
      return g_strdup (g_str_equal (term->of, dwn_building_id (DWN_BUILDING_EFFICIENT))
                       ? dwn_word (wording, N_("thermally efficient building"))
                       : dwn_word (wording, N_("traditional building")));
    case DWN_HOUSE_CLUTTER:
      return g_strdup (dwn_word (wording, N_("houses around")));
    case DWN_HOUSE_TREES:
      return word_trees (wording, term);
    case DWN_HOUSE_FIGURES:
    default:
      return g_strdup (dwn_word (wording, N_("the house")));
    }
}

char *
dwn_word_house (const DwnWording *wording, const DwnPlan *plan, const DwnFields *fields,
                const DwnTables *tables, guint station)
{
  GString *text = g_string_new (NULL);
  DwnHouseWay way;

  dwn_house_way_init (&way, plan, fields, station, fmax (plan->site->height_m, 1.0));
  for (guint i = 0; i < plan->site->n_losses; i++)
    {
      DwnHouseShare share;

      if (!dwn_house_term (tables, &plan->site->loss[i], &way, &share) || share.db <= 0.0)
        continue;
      g_autofree char *name = dwn_word_house_term (wording, tables, &plan->site->loss[i]);
      g_autofree char *db = dwn_word_number (wording, share.db, 1);
      g_autofree char *sd = dwn_word_decibels (wording, share.sd_db);
      g_string_append_printf (text, "%s%s %s ± %s", text->len > 0 ? ", " : "", name, db, sd);
    }
  return g_string_free (text, FALSE);
}

static const DwnReception *
weakest (const DwnBudget *budget, guint station)
{
  return &budget->reception[(gsize) station * budget->n_outlets + budget->weakest[station]];
}

char *
dwn_word_seasons (const DwnWording *wording, const DwnPlan *plan, const DwnSeasons *seasons)
{
  double most_db = LEAST_SEASON_DB;
  int service = -1, station = -1;

  for (guint s = 0; s < plan->services->n && seasons->winter->n_outlets > 0; s++)
    {
      int best = plan->services->service[s].wanted == DWN_WANTED_NO
                 ? -1 : dwn_best_station (plan, seasons->winter, s);

      if (best < 0 || !(dwn_seasons_margin_db (seasons, (guint) best) > most_db))
        continue;
      most_db = dwn_seasons_margin_db (seasons, (guint) best);
      service = (int) s;
      station = best;
    }
  if (service < 0)
    return g_strdup ("");

  g_autofree char *db = dwn_word_decibels (wording, most_db);
  const DwnReception *leafy = weakest (seasons->summer, (guint) station);
  const DwnReception *bare = weakest (seasons->winter, (guint) station);
  g_autofree char *summer = dwn_word_chance (wording, leafy->chance);
  g_autofree char *winter = dwn_word_chance (wording, bare->chance);
  return g_strdup_printf (
    /* Translators: service, decibels, chance with leaves, chance without */
    dwn_word (wording, N_("With leaves on the trees %s has %s less margin and a chance of %s "
                          "instead of %s.")),
    plan->services->service[service].name, db, summer, winter);
}
