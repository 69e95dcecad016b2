#include <glib/gi18n-lib.h>
#include <math.h>

#include "draw/plan-explain.h"

#define EARTH_M (6371000.0 * DWN_STANDARD_K_FACTOR)
/* Of the hills besides the worst so many are named. */
#define MOST_HILLS 3
/* A tree of the data file's usual kind, where the plan does not say its height. */
#define USUAL_TREE_M 12.0

typedef struct {
  const DwnPlanView *view;
  const DwnWording *wording;
  const DwnPlan *plan;
  const DwnStation *station;
  const DwnArrival *arrival;
  guint antenna;
  DwnPlanPath *out;
} Drawer;

static const char *
keep (Drawer *self, char *text)
{
  const char *kept = g_string_chunk_insert (self->out->strings, text);

  g_free (text);
  return kept;
}

guint
dwn_plan_view_outlet (const DwnPlanView *view)
{
  return view->outlet >= 0 ? (guint) view->outlet : view->findings.budget->weakest[view->station];
}

/* The antenna that brings the station; the first where nothing does. */
static guint
antenna_of (const DwnPlanView *view)
{
  const DwnBudget *budget = view->findings.budget;

  if (budget->n_outlets == 0)
    return 0;
  const DwnReception *reception = &budget->reception[(gsize) view->station * budget->n_outlets
                                                     + dwn_plan_view_outlet (view)];
  return reception->limit == DWN_LIMIT_UNCONNECTED ? 0 : reception->antenna;
}

/* Height of the ground over the chord between both ends, the earth's curve included. */
static double
raised_m (const DwnProfile *profile, gsize i)
{
  return profile->height_m[i]
         + dwn_path_bulge_m (profile->distance_m[i], profile->distance_m[profile->n - 1], EARTH_M);
}

/* A string pulled tight from antenna to antenna over the ground: where it touches. */
static guint
find_edges (const DwnProfile *profile, double from_m, double to_m, double *edge_m)
{
  double length_m = profile->distance_m[profile->n - 1], x = 0.0, y = profile->height_m[0] + from_m;
  gsize at = 0;
  guint n = 0;

  while (at + 1 < profile->n)
    {
      gsize next = profile->n - 1;
      double steepest = (profile->height_m[next] + to_m - y) / (length_m - x);

      for (gsize i = at + 1; i + 1 < profile->n; i++)
        {
          double slope = (raised_m (profile, i) - y) / (profile->distance_m[i] - x);

          if (slope > steepest)
            {
              steepest = slope;
              next = i;
            }
        }
      at = next;
      x = profile->distance_m[at];
      y = raised_m (profile, at);
      if (at + 1 < profile->n)
        edge_m[n++] = x;
    }
  return n;
}

static void
fill_ends (Drawer *self)
{
  DwnPathDrawing *data = &self->out->data;
  g_autofree char *mast = dwn_word_height (self->wording, self->arrival->tx_agl_m);
  const char *place = self->station->site[0] != '\0' ? self->station->site : self->station->name;
  const DwnSite *site = self->plan->site;

  data->transmitter_m = self->arrival->tx_agl_m;
  data->receiver_m = self->plan->gear->n_antennas > 0
                     ? dwn_antenna_agl_m (self->plan, self->antenna) : site->height_m;
  /* Translators: a transmitter's place, "92 m" */
  data->transmitter = keep (self, g_strdup_printf (dwn_word (self->wording, N_("%s, %s mast")), place, mast));
  data->house = site->name[0] != '\0' ? site->name : dwn_word (self->wording, N_("House"));
  data->house_detail = keep (self, dwn_word_height (self->wording, data->receiver_m));
}

/* "117 m above the line, 6.4 km from the house" */
static char *
word_hill (const Drawer *self, double clearance_m, double distance_m)
{
  g_autofree char *height = dwn_word_height (self->wording, fabs (clearance_m));
  g_autofree char *away = dwn_word_distance (self->wording, self->arrival->distance_m - distance_m);

  if (clearance_m < 0.0)
    return g_strdup_printf (dwn_word (self->wording, N_("%s above the line, %s from the house")), height, away);
  return g_strdup_printf (dwn_word (self->wording, N_("%s under the line, %s from the house")), height, away);
}

static void
fill_crest (Drawer *self)
{
  const DwnClearance *worst = &self->arrival->clearance;
  const DwnPath *path = dwn_paths_find (self->plan->paths, self->station->id);
  DwnPathDrawing *data = &self->out->data;

  data->crest_m = (double) NAN;
  if (self->arrival->path_class != DWN_PATH_BLOCKED && self->arrival->path_class != DWN_PATH_GRAZING)
    return;
  data->crest_m = worst->distance_m;
  data->crest = path != NULL && path->crest != NULL ? path->crest
                                                    : dwn_word (self->wording, N_("Highest in the way"));
  data->crest_detail = keep (self, word_hill (self, worst->clearance_m, worst->distance_m));
  data->crest_above_m = -worst->clearance_m;
}

/* The other obstructions, with metres and kilometres. */
static void
fill_hills (Drawer *self)
{
  const DwnClearance *worst = &self->arrival->clearance;
  DwnPathHill *hills = g_new0 (DwnPathHill, MOST_HILLS);
  guint n = 0;

  for (guint k = 0; k < worst->n_obstructions && n < MOST_HILLS; k++)
    {
      const DwnObstruction *hill = &worst->obstruction[k];
      g_autofree char *height = dwn_word_height (self->wording, fabs (hill->clearance_m));
      g_autofree char *away = dwn_word_distance (self->wording,
                                                 self->arrival->distance_m - hill->distance_m);

      if (hill->distance_m == worst->distance_m)
        continue;
      hills[n].distance_m = hill->distance_m;
      /* Translators: metres over or under the straight line, kilometres from the house */
      hills[n].name = keep (self, g_strdup_printf (
        hill->clearance_m < 0.0 ? dwn_word (self->wording, N_("%s over, %s away"))
                                : dwn_word (self->wording, N_("%s under, %s away")), height, away));
      n++;
    }
  self->out->hills = hills;
  self->out->data.hills = hills;
  self->out->data.n_hills = n;
}

/* Trees of which the plan says where they stand. */
static void
fill_woods (Drawer *self)
{
  const DwnSite *site = self->plan->site;
  double length_m = self->arrival->profile->distance_m[self->arrival->profile->n - 1];
  DwnPathWood *woods = g_new0 (DwnPathWood, site->n_losses + 1);
  guint n = 0;

  for (guint k = 0; k < site->n_losses; k++)
    {
      const DwnHouseLoss *loss = &site->loss[k];
      double depth_m = isnan (loss->depth_m) ? 0.0 : loss->depth_m;

      if (loss->kind != DWN_HOUSE_TREES || isnan (loss->away_m)
          || !dwn_house_faces (loss, self->arrival->bearing_deg)
          || loss->away_m + depth_m >= length_m)
        continue;
      woods[n++] = (DwnPathWood) { length_m - loss->away_m - depth_m, length_m - loss->away_m,
                                   isnan (loss->height_m) ? USUAL_TREE_M : loss->height_m, loss->name };
    }
  self->out->woods = woods;
  self->out->data.woods = woods;
  self->out->data.n_woods = n;
}

static void
fill_head (Drawer *self)
{
  DwnPathDrawing *data = &self->out->data;
  g_autofree char *distance = dwn_word_distance (self->wording, self->arrival->distance_m);
  g_autofree char *bearing = dwn_word_bearing (self->wording, self->arrival->bearing_deg);
  g_autofree char *mhz = dwn_word_number (self->wording, self->station->mhz, 0);

  if (self->station->site[0] != '\0')
    /* Translators: a station and the place of its transmitter */
    data->title = keep (self, g_strdup_printf (dwn_word (self->wording, N_("The way of %s from %s")),
                                               self->station->name, self->station->site));
  else
    data->title = keep (self, g_strdup_printf (dwn_word (self->wording, N_("The way of %s")),
                                               self->station->name));
  /* Translators: "38 km", "131°", "599" */
  data->note = keep (self, g_strdup_printf (
    dwn_word (self->wording, N_("%s at %s \xC2\xB7 %s MHz \xC2\xB7 earth radius \xC3\x97 4/3")), distance,
    bearing, mhz));
}

DwnPlanPath *
dwn_plan_path_new (const DwnPlanView *view)
{
  g_return_val_if_fail (view->station >= 0, NULL);

  const DwnArrival *arrival = &view->findings.fields->arrival[view->station];
  const DwnProfile *profile = arrival->profile;
  if (profile == NULL)
    return NULL;

  DwnPlanPath *path = g_new0 (DwnPlanPath, 1);
  DwnPathDrawing *data = &path->data;
  Drawer self = {
    view, view->wording, view->findings.plan, &view->findings.plan->stations->station[view->station],
    arrival, antenna_of (view), path,
  };

  path->strings = g_string_chunk_new (512);
  fill_ends (&self);
  fill_head (&self);
  data->n_points = (guint) profile->n;
  data->distance_m = profile->distance_m;
  data->height_m = profile->height_m;
  data->mhz = self.station->mhz;
  data->earth_radius_m = EARTH_M;
  fill_crest (&self);
  fill_hills (&self);
  fill_woods (&self);
  path->edge_m = g_new (double, profile->n);
  data->n_edges = find_edges (profile, data->transmitter_m, data->receiver_m, path->edge_m);
  data->edge_m = path->edge_m;
  data->fresnel = dwn_word (self.wording, N_("first Fresnel zone"));
  data->km = dwn_word (self.wording, N_("km"));
  data->m = dwn_word (self.wording, N_("m"));
  return path;
}

void
dwn_plan_path_free (DwnPlanPath *path)
{
  g_free (path->edge_m);
  g_free (path->woods);
  g_free (path->hills);
  g_string_chunk_free (path->strings);
  g_free (path);
}
