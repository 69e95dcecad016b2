/* Several threads that work on the same plans and tables at once, as the window, its explainer and
 * `advise FOLDER` do: each has to come to what one thread alone comes to, bit for bit. Under the
 * thread sanitizer (`tests/run --thread`) this is where a race in the core would be seen. */
#include "../../common/random-plan.h"
#include "core/plan/document.h"
#include "core/study/diagnosis.h"

#define N_THREADS 6
#define N_PLANS 4
#define N_STATIONS 9
#define SEED 20261125

/* All threads wait here for the last, so that they really run at once. */
typedef struct {
  GMutex lock;
  GCond opened;
  guint missing;
} Gate;

typedef struct {
  Gate *gate;
  const RandomShop *shop; /* NULL: every thread opens its own */
  DwnPlan *const *plan;
  GChecksum *result;
} Worker;

static void
pass_gate (Gate *gate)
{
  g_mutex_lock (&gate->lock);
  if (--gate->missing == 0)
    g_cond_broadcast (&gate->opened);
  while (gate->missing > 0)
    g_cond_wait (&gate->opened, &gate->lock);
  g_mutex_unlock (&gate->lock);
}

static DwnPlan *
plan_number (const RandomShop *shop, guint number)
{
  g_autoptr (GRand) random = g_rand_new_with_seed (SEED + number);
  const RandomWish wish = { .n_stations = N_STATIONS };

  return random_plan (random, shop, &wish);
}

static void
note (GChecksum *sum, gconstpointer data, gsize n_bytes)
{
  g_checksum_update (sum, data, (gssize) n_bytes);
}

/* Figures one by one: structs have gaps that hold anything. */
static void
note_budget (GChecksum *sum, const DwnBudget *budget)
{
  for (guint i = 0; i < N_STATIONS * budget->n_outlets; i++)
    {
      note (sum, &budget->reception[i].level_dbm, sizeof (double));
      note (sum, &budget->reception[i].margin_db, sizeof (double));
      note (sum, &budget->reception[i].chance, sizeof (double));
    }
}

static void
note_diagnoses (GChecksum *sum, const DwnBudgetBase *base, const DwnPlan *plan)
{
  for (guint i = 0; i < N_STATIONS; i++)
    {
      g_autoptr (DwnDiagnosis) diagnosis = dwn_diagnose (base, plan->aims->aim_deg, i, 0);
      DwnCause causes[DWN_N_CAUSES];
      guint n = dwn_diagnosis_name_causes (diagnosis, causes);

      note (sum, causes, n * sizeof causes[0]);
    }
}

/* All that follows from one plan, and the plan as a file holds it. */
static void
note_plan (GChecksum *sum, const DwnPlan *plan, const RandomShop *shop)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnFields) fields = dwn_fields_new (plan, NULL, &error);
  g_assert_no_error (error);
  g_autoptr (DwnBudgetBase) base = dwn_budget_base_new (plan, fields, shop->tables);
  g_autoptr (DwnBudget) budget = dwn_budget_new (base, plan->aims->aim_deg);
  g_autoptr (GBytes) file = dwn_plan_write (plan, shop->tables->catalogue);

  note_budget (sum, budget);
  note_diagnoses (sum, base, plan);
  note (sum, g_bytes_get_data (file, NULL), g_bytes_get_size (file));
}

/* An edit shares all parts but one with the plan that others are reading. */
static DwnPlan *
edited (const DwnPlan *plan)
{
  DwnStation station = plan->stations->station[0];

  station.erp_kw *= 2.0;
  g_autoptr (DwnStations) stations = dwn_stations_with (plan->stations, &station);
  return dwn_plan_with_stations (plan, stations, plan->services);
}

static gpointer
work_on_shared (gpointer data)
{
  Worker *self = data;

  if (self->gate != NULL)
    pass_gate (self->gate);
  for (guint p = 0; p < N_PLANS; p++)
    {
      g_autoptr (DwnPlan) plan = dwn_plan_ref (self->plan[p]);
      g_autoptr (DwnPlan) louder = edited (plan);

      note_plan (self->result, plan, self->shop);
      note_plan (self->result, louder, self->shop);
    }
  return NULL;
}

static gpointer
work_on_own (gpointer data)
{
  Worker *self = data;
  RandomShop shop;

  if (self->gate != NULL)
    pass_gate (self->gate);
  random_shop_open (&shop);
  for (guint p = 0; p < N_PLANS; p++)
    {
      g_autoptr (DwnPlan) plan = plan_number (&shop, p);

      note_plan (self->result, plan, &shop);
    }
  random_shop_close (&shop);
  return NULL;
}

/* First together, then alone: what is read or worked out once in a process is then still to be
 * done when the threads begin. */
static void
compare_with_one (GThreadFunc work, const RandomShop *shop, DwnPlan *const *plan)
{
  Gate gate = { .missing = N_THREADS };
  Worker worker[N_THREADS + 1];
  GThread *thread[N_THREADS];

  g_mutex_init (&gate.lock);
  g_cond_init (&gate.opened);
  for (guint t = 0; t <= N_THREADS; t++)
    worker[t] = (Worker) { t < N_THREADS ? &gate : NULL, shop, plan, g_checksum_new (G_CHECKSUM_SHA256) };
  for (guint t = 0; t < N_THREADS; t++)
    thread[t] = g_thread_new ("worker", work, &worker[t]);
  for (guint t = 0; t < N_THREADS; t++)
    g_thread_join (thread[t]);
  work (&worker[N_THREADS]);
  for (guint t = 0; t < N_THREADS; t++)
    g_assert_cmpstr (g_checksum_get_string (worker[t].result), ==,
                     g_checksum_get_string (worker[N_THREADS].result));
  for (guint t = 0; t <= N_THREADS; t++)
    g_checksum_free (worker[t].result);
  g_mutex_clear (&gate.lock);
  g_cond_clear (&gate.opened);
}

/* Nothing has been read yet: has to be the first case. */
static void
test_own (void)
{
  compare_with_one (work_on_own, NULL, NULL);
}

static void
test_shared (void)
{
  RandomShop shop;
  DwnPlan *plan[N_PLANS];

  random_shop_open (&shop);
  for (guint p = 0; p < N_PLANS; p++)
    plan[p] = plan_number (&shop, p);
  compare_with_one (work_on_shared, &shop, plan);
  for (guint p = 0; p < N_PLANS; p++)
    dwn_plan_unref (plan[p]);
  random_shop_close (&shop);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/threads/own-tables", test_own);
  g_test_add_func ("/threads/shared-plan", test_shared);
  return g_test_run ();
}
