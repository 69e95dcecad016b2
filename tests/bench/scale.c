/* How costs grow: ten, a hundred, a thousand and ten thousand of each thing, in processor time. A
 * line is "name n value unit ratio", where the ratio is of the cost of one with that of the decade
 * before: 1 where the whole grows linearly, 10 where it grows with the square. The budget's sums go
 * over all pairs of stations on the same and nearby channels: with ten thousand of them on the channels
 * of one country that is a square, and no fault. */
#include <stdio.h>
#include <time.h>

#include "../common/random-plan.h"
#include "../draw/example.h"
#include "core/plan/document.h"
#include "core/plan/import-private.h"
#include "core/plan/station-list.h"
#include "core/study/advice.h"

#define LEAST_S 0.05
#define MOST_RUNS 1000

static RandomShop shop;

/* What one measurement needs; made anew for each number. */
typedef struct {
  guint n;
  DwnPlan *plan;
  DwnFields *fields;
  DwnBudgetBase *base;
  GBytes *bytes;
  DwnExample *crowd;
  PangoContext *text;
} Case;

static double
cpu_s (void)
{
  return (double) clock () / CLOCKS_PER_SEC;
}

/* Seconds of one run; of several where one is short. */
static double
time_s (const Case *one, void (*run) (const Case *))
{
  double start_s = cpu_s (), spent_s = 0.0;
  guint runs = 0;

  for (; runs < MOST_RUNS && spent_s < LEAST_S; runs++)
    {
      run (one);
      spent_s = cpu_s () - start_s;
    }
  return spent_s / runs;
}

static void
open_stations (Case *one)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (2026);
  const RandomWish wish = { .n_stations = one->n, .n_outlets = 1 };

  one->plan = random_plan (random, &shop, &wish);
  one->fields = dwn_fields_new (one->plan, NULL, NULL);
  one->base = dwn_budget_base_new (one->plan, one->fields, shop.tables);
  one->bytes = dwn_plan_write (one->plan, shop.tables->catalogue);
}

static void
open_outlets (Case *one)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (2026);
  const RandomWish wish = { .n_stations = 20, .n_outlets = one->n };

  one->plan = random_plan (random, &shop, &wish);
  one->fields = dwn_fields_new (one->plan, NULL, NULL);
}

static void
open_list (Case *one)
{
  open_stations (one);
  g_bytes_unref (one->bytes);
  one->bytes = dwn_station_list_format (one->plan->stations, one->plan->services);
}

static void
open_crowd (Case *one)
{
  one->crowd = dwn_example_crowd (one->n);
  one->text = dwn_example_text ();
}

static void
clear (Case *one)
{
  g_clear_pointer (&one->base, dwn_budget_base_unref);
  g_clear_pointer (&one->fields, dwn_fields_unref);
  g_clear_pointer (&one->plan, dwn_plan_unref);
  g_clear_pointer (&one->bytes, g_bytes_unref);
  g_clear_pointer (&one->crowd, dwn_example_free);
  g_clear_object (&one->text);
}

static void
run_import (const Case *one)
{
  const DwnInput input = { "made.xml", one->bytes };
  const DwnImportOptions options = { .today = "2026-05-14" };
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnImport) import = dwn_import_inputs (DWN_IMPORT_STATIONS, 1, &input, NULL, &options, NULL, NULL,
                                                    NULL, &error);

  if (import == NULL || import->stations->n != one->n)
    g_error ("%s", error != NULL ? error->message : "not all stations");
}

static void
run_open (const Case *one)
{
  dwn_plan_unref (dwn_plan_read (one->bytes, "plan", shop.tables->parts, shop.tables->catalogue, NULL, NULL));
}

static void
run_save (const Case *one)
{
  g_bytes_unref (dwn_plan_write (one->plan, shop.tables->catalogue));
}

static void
run_fields (const Case *one)
{
  dwn_fields_unref (dwn_fields_new (one->plan, NULL, NULL));
}

static void
run_base (const Case *one)
{
  dwn_budget_base_unref (dwn_budget_base_new (one->plan, one->fields, shop.tables));
}

static void
run_aim (const Case *one)
{
  const double aim_deg = 77.0;

  dwn_budget_unref (dwn_budget_new (one->base, &aim_deg));
}

static void
run_outlets (const Case *one)
{
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (one->plan, one->fields, shop.tables);

  dwn_budget_unref (dwn_budget_new (base, one->plan->aims->aim_deg));
}

static void
run_rose (const Case *one)
{
  const DwnLook look = dwn_look_light ();

  dwn_scene_unref (dwn_rose_layout (&one->crowd->data, &look, one->text, 640, 740, NULL));
}

/* So many plans of nine stations: read, predicted, advised on from one antenna. */
static void
run_plans (const Case *one)
{
  const RandomWish wish = { .n_stations = 9 };
  const DwnPattern *armoury[] = { shop.pattern[1] };
  const DwnAdviceOptions options = { .n_antennas = 1, .pattern = armoury, .step_deg = 15 };

  for (guint i = 0; i < one->n; i++)
    {
      g_autoptr (GRand) random = g_rand_new_with_seed (i);
      g_autoptr (DwnPlan) plan = random_plan (random, &shop, &wish);
      g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, NULL);
      g_autoptr (DwnLadder) ladder = dwn_advise (plan, fields, shop.tables, &options, NULL, NULL);
    }
}

static const struct {
  const char *name;
  guint most, factor;
  void (*open) (Case *);
  void (*run) (const Case *);
} things[] = {
  { "stations-import", 10000, 10, open_list, run_import },
  { "stations-plan-open", 10000, 10, open_stations, run_open },
  { "stations-plan-save", 10000, 10, open_stations, run_save },
  { "stations-fields", 10000, 10, open_stations, run_fields },
  { "stations-budget-base", 10000, 10, open_stations, run_base },
  { "stations-changed-aim", 10000, 10, open_stations, run_aim },
  { "stations-rose-layout", 10000, 10, open_crowd, run_rose },
  { "outlets-budget", 64, 8, open_outlets, run_outlets },
  { "plans-advised", 1000, 10, NULL, run_plans },
};

int
main (int argc, char **argv)
{
  random_shop_open (&shop);
  for (gsize i = 0; i < G_N_ELEMENTS (things); i++)
    {
      double before_us = (double) NAN;

      if (argc > 1 && strcmp (argv[1], things[i].name) != 0)
        continue;
      for (guint n = things[i].factor == 10 ? 10 : 1; n <= things[i].most; n *= things[i].factor)
        {
          Case one = { .n = n };

          if (things[i].open != NULL)
            things[i].open (&one);
          double each_us = 1e6 * time_s (&one, things[i].run) / n;
          printf ("%-22s %5u %9.2f us/item %6.2f\n", things[i].name, n, each_us, each_us / before_us);
          fflush (stdout);
          before_us = each_us;
          clear (&one);
        }
    }
  random_shop_close (&shop);
  return 0;
}
