/* One hot path, so many times over: what tests/bench/instructions counts the instructions of.
 * Arguments: its name, how often. */
#include <stdlib.h>
#include <string.h>

#include "../common/random-plan.h"
#include "../draw/example.h"
#include "core/plan/document.h"
#include "core/radio/path-model.h"
#include "core/study/advice.h"

#define N_INTERVALS 300
#define N_STATIONS 60

/* What the paths work on; all are made whichever is counted, so that the rest is the same. */
typedef struct {
  RandomShop shop;
  DwnPlan *plan, *small;
  DwnFields *fields, *small_fields;
  DwnBudgetBase *base;
  GBytes *saved;
  DwnProfile *ground;
  DwnExample *crowd;
  PangoContext *text;
  DwnLook look;
} Bench;

static DwnProfile *
ground_new (void)
{
  double distance_m[N_INTERVALS + 1], height_m[N_INTERVALS + 1];

  for (guint i = 0; i <= N_INTERVALS; i++)
    {
      double x_m = distance_m[i] = 60e3 * i / N_INTERVALS;
      height_m[i] = 200 + 30 * sin (x_m / 1430) + 12 * sin (x_m / 387) + 400 * exp (-pow ((x_m - 20e3) / 3e3, 2));
    }
  return dwn_profile_new (N_INTERVALS + 1, distance_m, height_m, NULL, NULL, NULL);
}

static void
bench_open (Bench *bench)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (2026);
  const RandomWish wish = { .n_stations = N_STATIONS, .n_outlets = 4 };

  random_shop_open (&bench->shop);
  bench->plan = random_plan (random, &bench->shop, &wish);
  bench->fields = dwn_fields_new (bench->plan, NULL, NULL);
  bench->base = dwn_budget_base_new (bench->plan, bench->fields, bench->shop.tables);
  const RandomWish few = { .n_stations = 12 };
  bench->small = random_plan (random, &bench->shop, &few);
  bench->small_fields = dwn_fields_new (bench->small, NULL, NULL);
  bench->saved = dwn_plan_write (bench->plan, bench->shop.tables->catalogue);
  bench->ground = ground_new ();
  bench->crowd = dwn_example_crowd (100);
  bench->text = dwn_example_text ();
  bench->look = dwn_look_light ();
}

static void
bench_close (Bench *bench)
{
  g_object_unref (bench->text);
  dwn_example_free (bench->crowd);
  dwn_profile_unref (bench->ground);
  g_bytes_unref (bench->saved);
  dwn_budget_base_unref (bench->base);
  dwn_fields_unref (bench->small_fields);
  dwn_plan_unref (bench->small);
  dwn_fields_unref (bench->fields);
  dwn_plan_unref (bench->plan);
  random_shop_close (&bench->shop);
}

static void
call_model (const DwnPathModel *model, const DwnProfile *ground)
{
  g_autofree char *workspace = g_malloc (MAX (model->workspace_size (N_INTERVALS + 1), 1));
  DwnPathQuery query;
  DwnPathLoss loss;

  dwn_path_query_init (&query, model);
  query.mhz = 545;
  query.distance_m = 60e3;
  query.tx_agl_m = 300;
  query.rx_agl_m = 10;
  query.time_pct = 90;
  query.profile = ground;
  if (!model->loss (&query, workspace, &loss, NULL))
    g_error ("%s refuses the path", model->id);
}

static void
itm (Bench *bench)
{
  call_model (&dwn_path_model_itm, bench->ground);
}

static void
p1812 (Bench *bench)
{
  call_model (&dwn_path_model_p1812, bench->ground);
}

static void
fields (Bench *bench)
{
  dwn_fields_unref (dwn_fields_new (bench->plan, NULL, NULL));
}

static void
budget (Bench *bench)
{
  dwn_budget_unref (random_budget (bench->plan, &bench->shop));
}

static void
changed_aim (Bench *bench)
{
  const double aim_deg = 77.0;

  dwn_budget_unref (dwn_budget_new (bench->base, &aim_deg));
}

static void
advice (Bench *bench)
{
  const DwnPattern *armoury[] = { bench->shop.pattern[1], bench->shop.pattern[3] };
  const DwnAdviceOptions options = { .n_antennas = 2, .pattern = armoury, .step_deg = 15 };

  dwn_ladder_unref (dwn_advise (bench->small, bench->small_fields, bench->shop.tables, &options, NULL,
                                NULL));
}

static void
rose_layout (Bench *bench)
{
  dwn_scene_unref (dwn_rose_layout (&bench->crowd->data, &bench->look, bench->text, 640, 740, NULL));
}

static void
plan_read (Bench *bench)
{
  dwn_plan_unref (dwn_plan_read (bench->saved, "plan", bench->shop.tables->parts,
                                 bench->shop.tables->catalogue, NULL, NULL));
}

static void
plan_write (Bench *bench)
{
  g_bytes_unref (dwn_plan_write (bench->plan, bench->shop.tables->catalogue));
}

static const struct {
  const char *name;
  void (*run) (Bench *bench);
} paths[] = {
  { "itm", itm },
  { "p1812", p1812 },
  { "fields", fields },
  { "budget", budget },
  { "changed-aim", changed_aim },
  { "advice", advice },
  { "rose-layout", rose_layout },
  { "plan-read", plan_read },
  { "plan-write", plan_write },
};

/* The name of this one is what the counting listens for. */
static G_NO_INLINE void
counted_rounds (Bench *bench, void (*run) (Bench *), int n)
{
  for (int round = 0; round < n; round++)
    run (bench);
}

int
main (int argc, char **argv)
{
  Bench bench;

  if (argc != 3)
    return EXIT_FAILURE;
  for (gsize i = 0; i < G_N_ELEMENTS (paths); i++)
    if (strcmp (argv[1], paths[i].name) == 0)
      {
        bench_open (&bench);
        paths[i].run (&bench); /* fills what is kept for later */
        counted_rounds (&bench, paths[i].run, atoi (argv[2]));
        bench_close (&bench);
        return EXIT_SUCCESS;
      }
  return EXIT_FAILURE;
}
