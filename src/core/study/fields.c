#include "core/study/fields.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/geo/geodesic.h"
#include "core/radio/clutter.h"
#include "core/radio/curves.h"

/* Height above average terrain where neither the record nor a profile gives one: low enough to
 * promise nothing (DESIGN). */
#define ASSUMED_HAAT_M 30.0
/* Height of a transmitting antenna above ground where nothing is on file. Our assumption. */
#define ASSUMED_AGL_M 30.0
/* No mast is much taller (the tallest of television stand 629 m, from memory). */
#define TALLEST_AGL_M 650.0
/* Average terrain is taken from 3 to 16 km from the transmitter (47 CFR 73.313). */
#define HAAT_NEAR_M 3000.0
#define HAAT_FAR_M 16000.0

typedef struct {
  DwnFields fields;
  const DwnPaths *paths; /* keeps the profiles that arrivals point to */
} FieldsBox;

double
dwn_prediction_sd_db (DwnPathClass path_class, gboolean haat_assumed)
{
  switch (path_class)
    {
    case DWN_PATH_CLEAR:
      return 5.0;
    case DWN_PATH_GRAZING:
      return 8.0;
    case DWN_PATH_BLOCKED:
      return 11.0;
    case DWN_PATH_UNKNOWN:
    default:
      return haat_assumed ? 12.0 : 8.0;
    }
}

gboolean
dwn_house_faces (const DwnHouseLoss *term, double bearing_deg)
{
  double width = fmod (term->to_deg - term->from_deg + 720.0, 360.0);
  double offset = fmod (bearing_deg - term->from_deg + 720.0, 360.0);

  return width == 0.0 || offset <= width;
}

double
dwn_house_field_agl_m (const DwnSite *site, double bearing_deg, double antenna_agl_m)
{
  double agl_m = antenna_agl_m;

  for (guint i = 0; i < site->n_losses; i++)
    {
      const DwnHouseLoss *term = &site->loss[i];
      DwnClutter clutter = DWN_CLUTTER_SUBURBAN;

      if (term->kind != DWN_HOUSE_CLUTTER || !dwn_house_faces (term, bearing_deg))
        continue;
      dwn_clutter_from_id (term->of != NULL ? term->of : "", &clutter);
      agl_m = fmax (agl_m, isnan (term->height_m) ? dwn_clutter_height_m (clutter)
                                                  : term->height_m);
    }
  return agl_m;
}

double
dwn_polarisation_loss_db (DwnPolarisation antenna, DwnPolarisation wave)
{
  DwnPolarisation a = antenna == DWN_POLARISATION_UNKNOWN ? DWN_POLARISATION_HORIZONTAL : antenna;
  DwnPolarisation w = wave == DWN_POLARISATION_UNKNOWN ? DWN_POLARISATION_HORIZONTAL : wave;

  if (a == w)
    return 0.0;
  if (a == DWN_POLARISATION_CIRCULAR || w == DWN_POLARISATION_CIRCULAR)
    return 3.0;
  return 16.0;
}

/* Radiation centre above sea level from the record, or NaN. */
static double
transmitter_amsl_m (const DwnStation *station, const DwnProfile *profile)
{
  if (!isnan (station->amsl_m))
    return station->amsl_m;
  if (profile != NULL && !isnan (station->agl_m))
    return profile->height_m[0] + station->agl_m;
  return (double) NAN;
}

/* Mean ground between 3 and 16 km from the transmitter along this one radial; NaN where the
 * profile does not reach that far. */
static double
radial_average_m (const DwnProfile *profile)
{
  double sum = 0.0;
  gsize n = 0;

  for (gsize i = 0; i < profile->n; i++)
    if (profile->distance_m[i] >= HAAT_NEAR_M && profile->distance_m[i] <= HAAT_FAR_M)
      {
        sum += profile->height_m[i];
        n++;
      }
  if (n == 0 || profile->distance_m[profile->n - 1] < HAAT_FAR_M)
    return (double) NAN;
  return sum / (double) n;
}

/* Height above the profile's ground. Tiles wear summits down, so what the record has above the sea
 * counts where it is more than what it has above ground. Where it has neither, the height above
 * average terrain stands in, with this one radial's ground for average. */
static double
transmitter_agl_m (const DwnStation *station, const DwnProfile *profile)
{
  double ground_m = profile != NULL ? profile->height_m[0] : (double) NAN;
  double above_sea_m = station->amsl_m - ground_m; /* NaN where either is not known */
  double above_average_m = profile != NULL ? station->haat_m + radial_average_m (profile) - ground_m
                                           : (double) NAN;

  if (!isnan (station->agl_m) && station->agl_m > 0.0)
    return fmax (station->agl_m, above_sea_m); /* the other one where one is NaN */
  if (!isnan (above_sea_m))
    return fmax (above_sea_m, 1.0);
  if (!isnan (above_average_m))
    return CLAMP (above_average_m, ASSUMED_AGL_M, TALLEST_AGL_M);
  return ASSUMED_AGL_M;
}

static void
find_haat (const DwnStation *station, DwnArrival *arrival)
{
  arrival->haat_m = station->haat_m;
  arrival->haat_assumed = FALSE;
  if (isnan (arrival->haat_m) && arrival->profile != NULL)
    arrival->haat_m = transmitter_amsl_m (station, arrival->profile)
                      - radial_average_m (arrival->profile);
  if (isnan (arrival->haat_m))
    {
      arrival->haat_m = ASSUMED_HAAT_M;
      arrival->haat_assumed = TRUE;
    }
}

/* Elevation of the straight line from the house's antenna over a 4/3 earth. */
static double
elevation_deg (const DwnArrival *arrival, double tx_agl_m, double rx_agl_m)
{
  if (arrival->profile == NULL || arrival->distance_m <= 0.0)
    return 0.0;

  const DwnProfile *profile = arrival->profile;
  double rise_m = profile->height_m[0] + tx_agl_m - profile->height_m[profile->n - 1] - rx_agl_m;
  double earth_m = 6371000.0 * DWN_STANDARD_K_FACTOR;

  return atan (rise_m / arrival->distance_m - arrival->distance_m / (2.0 * earth_m)) * 180.0 / G_PI;
}

/* A stored profile counts only while it is whole and still belongs to these two places. */
static const DwnProfile *
usable_profile (const DwnPlan *plan, const DwnStation *station, double distance_m)
{
  const DwnPath *path = dwn_paths_find (plan->paths, station->id);

  if (path == NULL || !dwn_profile_is_complete (path->profile))
    return NULL;
  double length_m = path->profile->distance_m[path->profile->n - 1];
  return fabs (length_m - distance_m) <= 0.01 * distance_m + 100.0 ? path->profile : NULL;
}

static gboolean
locate (const DwnPlan *plan, const DwnStation *station, DwnArrival *arrival, GError **error)
{
  double toward_house_deg;

  if (!dwn_geodesic_inverse (&plan->site->at, &station->at, &arrival->distance_m,
                             &arrival->bearing_deg, &toward_house_deg, error))
    return FALSE;
  arrival->erp_toward_kw = station->erp_kw;
  if (station->pattern != NULL)
    arrival->erp_toward_kw *= pow (10.0, dwn_pattern_gain_dbi (station->pattern, toward_house_deg,
                                                               station->mhz) / 10.0);
  arrival->free_space_dbuv_m = dwn_field_of_loss_dbuv_m (
    dwn_free_space_loss_db (fmax (arrival->distance_m, 1.0), station->mhz), station->mhz,
    arrival->erp_toward_kw);
  arrival->profile = usable_profile (plan, station, arrival->distance_m);
  return TRUE;
}

static const DwnPathModel *
choose_model (const char *id, const DwnProfile *profile)
{
  const DwnPathModel *model = g_str_equal (id, "auto") ? &dwn_path_model_p1812
                                                       : dwn_path_model_find (id);

  if (!model->needs_profile || profile != NULL)
    return model;
  return model == &dwn_path_model_itm ? &dwn_path_model_itm_area : &dwn_path_model_curves;
}

static void
fill_query (const DwnPlan *plan, const DwnStation *station, const DwnArrival *arrival,
            const DwnPathModel *model, double rx_agl_m, DwnPathQuery *query)
{
  dwn_path_query_init (query, model);
  query->mhz = station->mhz;
  query->distance_m = fmax (arrival->distance_m, 1.0);
  query->tx_agl_m = transmitter_agl_m (station, arrival->profile);
  query->rx_agl_m = dwn_house_field_agl_m (plan->site, arrival->bearing_deg, rx_agl_m);
  query->haat_m = arrival->haat_m;
  query->profile = arrival->profile;
  query->polarisation = station->polarisation;
  query->climate = plan->method->climate;
  query->dn = plan->method->dn;
  query->area = plan->site->area;
  if (!isnan (plan->method->n0))
    query->n0 = plan->method->n0;
  query->latitude_deg = 0.5 * (plan->site->at.lat_deg + station->at.lat_deg);
}

typedef struct {
  const DwnPlan *plan;
  gpointer workspace; /* large enough for every model and profile of the plan */
} Predictor;

/* Field exceeded @time_pct of the time; NaN where the model does not cover the path. */
static double
field_dbuv_m (const Predictor *self, const DwnPathModel *model, DwnPathQuery *query, double erp_kw,
              double time_pct)
{
  DwnPathLoss loss;

  query->time_pct = time_pct;
  if (erp_kw <= 0.0)
    return -(double) INFINITY;
  if (!model->loss (query, self->workspace, &loss, NULL))
    return (double) NAN;

  return dwn_field_of_loss_dbuv_m (loss.loss_db, query->mhz, erp_kw);
}

static DwnField
predict (const Predictor *self, const DwnStation *station, const DwnArrival *arrival,
         const DwnPathModel *model, double rx_agl_m)
{
  DwnPathQuery query;

  fill_query (self->plan, station, arrival, model, rx_agl_m, &query);
  return (DwnField) {
    .wanted = field_dbuv_m (self, model, &query, arrival->erp_toward_kw, 90.0) + arrival->read_shift_db,
    .median = field_dbuv_m (self, model, &query, arrival->erp_toward_kw, 50.0) + arrival->read_shift_db,
    .interfering = field_dbuv_m (self, model, &query, arrival->erp_toward_kw, 10.0)
                   + arrival->read_shift_db,
  };
}

/* Is the model worth asking beside the one that is used? */
static gboolean
has_opinion (const DwnPathModel *model, const DwnArrival *arrival)
{
  if (model == arrival->model || model == &dwn_path_model_free_space)
    return FALSE;
  if (model->needs_profile)
    return arrival->profile != NULL;
  if (model == &dwn_path_model_itm_area && arrival->profile != NULL)
    return FALSE; /* it speaks as ITM */
  return !arrival->haat_assumed;
}

/* The medians of the models not used, against the one that is. */
static void
compare_models (const Predictor *self, const DwnStation *station, double rx_agl_m,
                double median, DwnArrival *arrival)
{
  gsize n;
  const DwnPathModel *const *models = dwn_path_models (&n);

  for (gsize i = 0; i < n; i++)
    {
      DwnPathQuery query;

      if (!has_opinion (models[i], arrival))
        continue;
      fill_query (self->plan, station, arrival, models[i], rx_agl_m, &query);
      double other = field_dbuv_m (self, models[i], &query, arrival->erp_toward_kw, 50.0) - median;
      if (!isfinite (other))
        continue;
      if (other < 0.0 && (arrival->low_model == NULL || other < arrival->spread_low_db))
        {
          arrival->spread_low_db = other;
          arrival->low_model = models[i];
        }
      else if (other >= 0.0 && (arrival->high_model == NULL || other > arrival->spread_high_db))
        {
          arrival->spread_high_db = other;
          arrival->high_model = models[i];
        }
    }
}

static double
agl_m (const DwnPlan *plan, double below_top_m)
{
  return fmax (plan->site->height_m - (isnan (below_top_m) ? 0.0 : below_top_m), 1.0);
}

double
dwn_antenna_agl_m (const DwnPlan *plan, guint antenna)
{
  return agl_m (plan, plan->gear->part[plan->gear->antenna[antenna]].below_top_m);
}

static void
study_path (const Predictor *self, const DwnStation *station, DwnArrival *arrival, DwnField *field,
            guint n_antennas)
{
  double top_m = fmax (self->plan->site->height_m, 1.0);
  double tx_agl_m = transmitter_agl_m (station, arrival->profile);

  arrival->tx_agl_m = tx_agl_m;
  arrival->house_sd_db = (double) NAN;
  arrival->path_class = DWN_PATH_UNKNOWN;
  if (arrival->profile != NULL
      && dwn_clearance (arrival->profile, tx_agl_m, top_m, station->mhz, DWN_STANDARD_K_FACTOR,
                        &arrival->clearance))
    arrival->path_class = arrival->clearance.class;
  find_haat (station, arrival);
  arrival->elevation_deg = elevation_deg (arrival, tx_agl_m, top_m);
  arrival->sd_db = isnan (self->plan->method->sd_db)
                   ? dwn_prediction_sd_db (arrival->path_class, arrival->haat_assumed)
                   : self->plan->method->sd_db;
  arrival->model = choose_model (self->plan->method->model, arrival->profile);

  DwnField top = predict (self, station, arrival, arrival->model, top_m);
  if (isnan (top.median))
    {
      arrival->model = &dwn_path_model_curves;
      top = predict (self, station, arrival, arrival->model, top_m);
    }
  if (isnan (top.median)) /* farther than the charts reach: nothing arrives */
    top = (DwnField) { -(double) INFINITY, -(double) INFINITY, -(double) INFINITY };
  compare_models (self, station, top_m, top.median, arrival);
  for (guint a = 0; a < n_antennas; a++)
    {
      double rx_agl_m = dwn_antenna_agl_m (self->plan, a);
      field[a] = rx_agl_m == top_m || isinf (top.median)
                 ? top : predict (self, station, arrival, arrival->model, rx_agl_m);
    }
}

static gpointer
workspace_new (const DwnPlan *plan)
{
  gsize longest = 2, bytes = 16, n_models;
  const DwnPathModel *const *models = dwn_path_models (&n_models);

  for (guint i = 0; i < plan->paths->n; i++)
    longest = MAX (longest, plan->paths->path[i].profile->n);
  for (gsize i = 0; i < n_models; i++)
    bytes = MAX (bytes, models[i]->workspace_size (longest));
  return g_malloc (bytes);
}

static void
fields_clear (gpointer data)
{
  FieldsBox *box = data;

  g_free ((gpointer) box->fields.arrival);
  g_free ((gpointer) box->fields.field);
  dwn_paths_unref (box->paths);
}

static FieldsBox *
fields_box_new (guint n, const DwnPaths *paths, guint n_antennas)
{
  FieldsBox *box = g_atomic_rc_box_new0 (FieldsBox);

  box->fields.n = n;
  box->fields.n_antennas = n_antennas;
  box->fields.arrival = g_new0 (DwnArrival, box->fields.n);
  box->fields.field = g_new0 (DwnField, (gsize) box->fields.n * box->fields.n_antennas);
  box->paths = g_atomic_rc_box_acquire ((gpointer) paths);
  return box;
}

DwnFields *
dwn_fields_new (const DwnPlan *plan, GCancellable *cancellable, GError **error)
{
  g_return_val_if_fail (plan != NULL, NULL);

  if (!g_str_equal (plan->method->model, "auto") && dwn_path_model_find (plan->method->model) == NULL)
    {
      g_set_error (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN,
                   _("the plan asks for the path model “%s”; there are auto, p1812, itm, "
                     "itm-area, curves and free-space"), plan->method->model);
      return NULL;
    }

  if (dwn_curves_shared (error) == NULL)
    return NULL;
  g_autofree gpointer workspace = workspace_new (plan);
  Predictor predictor = { plan, workspace };
  FieldsBox *box = fields_box_new (plan->stations->n, plan->paths, plan->gear->n_antennas);
  DwnArrival *arrivals = (DwnArrival *) box->fields.arrival;
  DwnField *fields = (DwnField *) box->fields.field;

  for (guint i = 0; i < box->fields.n; i++)
    {
      const DwnStation *station = &plan->stations->station[i];

      if (g_cancellable_set_error_if_cancelled (cancellable, error)
          || !locate (plan, station, &arrivals[i], error))
        {
          dwn_fields_unref (&box->fields);
          return NULL;
        }
      study_path (&predictor, station, &arrivals[i], &fields[(gsize) i * box->fields.n_antennas],
                  box->fields.n_antennas);
    }
  return &box->fields;
}

/* The plan's antenna that hangs at this height, -1 where none does. */
static int
antenna_at (const DwnPlan *plan, double rx_agl_m)
{
  for (guint a = 0; a < plan->gear->n_antennas; a++)
    if (dwn_antenna_agl_m (plan, a) == rx_agl_m)
      return (int) a;
  return -1;
}

static gboolean
nothing_arrives (const DwnFields *fields, guint station)
{
  return fields->n_antennas > 0
         && isinf (fields->field[(gsize) station * fields->n_antennas].median);
}

DwnFields *
dwn_fields_at_heights (const DwnFields *fields, const DwnPlan *plan, guint n,
                       const double *below_top_m)
{
  g_return_val_if_fail (fields->n == plan->stations->n, NULL);
  g_return_val_if_fail (fields->n_antennas == plan->gear->n_antennas, NULL);

  g_autofree gpointer workspace = workspace_new (plan);
  Predictor predictor = { plan, workspace };
  FieldsBox *box = fields_box_new (plan->stations->n, plan->paths, n);
  DwnField *field = (DwnField *) box->fields.field;

  memcpy ((DwnArrival *) box->fields.arrival, fields->arrival, fields->n * sizeof *fields->arrival);
  for (guint i = 0; i < fields->n; i++)
    for (guint a = 0; a < n; a++)
      {
        const DwnArrival *arrival = &fields->arrival[i];
        double rx_agl_m = agl_m (plan, below_top_m[a]);
        int known = nothing_arrives (fields, i) ? 0 : antenna_at (plan, rx_agl_m);

        field[(gsize) i * n + a] = known >= 0
          ? fields->field[(gsize) i * fields->n_antennas + (guint) known]
          : predict (&predictor, &plan->stations->station[i], arrival, arrival->model, rx_agl_m);
      }
  return &box->fields;
}

DwnFields *
dwn_fields_shifted (const DwnFields *fields, const DwnFieldShift *shift)
{
  const FieldsBox *old = (const FieldsBox *) fields;
  guint na = fields->n_antennas;
  FieldsBox *box = fields_box_new (fields->n, old->paths, na);

  for (guint i = 0; i < fields->n; i++)
    {
      DwnArrival *arrival = (DwnArrival *) &box->fields.arrival[i];

      *arrival = fields->arrival[i];
      arrival->read_shift_db += shift[i].db;
      arrival->sd_db = shift[i].sd_db;
      arrival->house_sd_db = shift[i].house_sd_db;
      for (gsize at = (gsize) i * na; at < (gsize) (i + 1) * na; at++)
        ((DwnField *) box->fields.field)[at] = (DwnField) {
          .wanted = fields->field[at].wanted + shift[i].db,
          .median = fields->field[at].median + shift[i].db,
          .interfering = fields->field[at].interfering + shift[i].db,
        };
    }
  return &box->fields;
}

DwnFields *
dwn_fields_ref (const DwnFields *fields)
{
  return g_atomic_rc_box_acquire ((gpointer) fields);
}

void
dwn_fields_unref (const DwnFields *fields)
{
  g_atomic_rc_box_release_full ((gpointer) fields, fields_clear);
}
