#include "words/mount-words.h"

#include <glib/gi18n-lib.h>
#include <math.h>

#include "core/study/separation.h"
#include "words/sentences.h"

#define NM_A_LBF_FT 1.3558179483314004
#define N_A_LBF 4.4482216152605
#define PA_A_LBF_FT2 47.88025898033584

static char *
quantity (const DwnWording *wording, double value, int decimals, const char *unit)
{
  g_autofree char *number = dwn_word_number (wording, value, decimals);

  return g_strconcat (number, wording->script ? " " : "\xC2\xA0", unit, NULL);
}

char *
dwn_word_moment (const DwnWording *wording, double moment_nm)
{
  return wording->feet ? quantity (wording, moment_nm / NM_A_LBF_FT, 0, "lbf\xC2\xB7" "ft")
                       : quantity (wording, moment_nm, 0, "N\xC2\xB7m");
}

char *
dwn_word_force (const DwnWording *wording, double force_n)
{
  return wording->feet ? quantity (wording, force_n / N_A_LBF, 0, "lbf")
                       : quantity (wording, force_n, 0, "N");
}

char *
dwn_word_pressure (const DwnWording *wording, double pressure_pa)
{
  return wording->feet ? quantity (wording, pressure_pa / PA_A_LBF_FT2, 1, "lbf/ft\xC2\xB2")
                       : quantity (wording, pressure_pa, 0, "Pa");
}

typedef char *(*Measure) (const DwnWording *wording, double value);

static char *
millimetres (const DwnWording *wording, double value_m)
{
  return quantity (wording, value_m * 1000.0, 0, "mm");
}

static char *
speed (const DwnWording *wording, double m_per_s)
{
  return wording->miles ? quantity (wording, m_per_s / 0.44704, 0, "mph")
                        : quantity (wording, m_per_s, 0, "m/s");
}

static char *
area (const DwnWording *wording, double m2)
{
  return wording->feet ? quantity (wording, m2 / 0.09290304, 1, "ft\xC2\xB2")
                       : quantity (wording, m2, 2, "m\xC2\xB2");
}

/* One sentence a code; {value} and {limit} stand for its figures. */
static const struct {
  const char *text;
  Measure measure;
} sentences[] = {
  [DWN_MOUNT_NOT_DESCRIBED] = {
    N_("Free length and thickness of the mast are not known, so wind and clearances are not "
       "worked out"), NULL },
  [DWN_MOUNT_MAST_BENDS] = {
    N_("Wind bends the mast with {value} and it may take {limit}: shorten it, guy it or take a "
       "stronger one"), dwn_word_moment },
  [DWN_MOUNT_BRACKET_BENDS] = {
    N_("Wind pulls at the bracket with {value} and it may take {limit}: shorten the mast or take a "
       "stronger bracket"), dwn_word_moment },
  [DWN_MOUNT_PROOF] = {
    N_("The moment at the upper clamp is {value}; over {limit} EN 60728-11 asks for a structural "
       "engineer's proof"), dwn_word_moment },
  [DWN_MOUNT_NO_RATING] = {
    N_("The moment at the upper clamp is {value}: compare it with what mast and bracket may take"),
    dwn_word_moment },
  [DWN_MOUNT_WIND_ASSUMED] = {
    N_("Its wind area is not known; {value} is assumed. The maker's figure would be right"), area },
  [DWN_MOUNT_ULTIMATE] = {
    N_("{value} is taken for allowable stresses in place of the ultimate {limit}"), speed },
  [DWN_MOUNT_CLAMP_SHORT] = {
    N_("The clamps hold {value} of the mast; a sixth of it, {limit}, would be right"),
    dwn_word_length },
  [DWN_MOUNT_GUY] = {
    N_("{value} of mast stand free; above {limit} it is to be guyed with three or four guys"),
    dwn_word_length },
  [DWN_MOUNT_CHIMNEY_TALL] = {
    N_("{value} of mast stand above the chimney; {limit} is the most"), dwn_word_length },
  [DWN_MOUNT_CHIMNEY_THIN] = {
    N_("The mast on the chimney is {value} thick; {limit} would be right"), millimetres },
  [DWN_MOUNT_LINE_NEAR] = {
    N_("A power line is {value} away; {limit}, twice the length of mast and antenna, have to stay "
       "clear: choose another place"), dwn_word_length },
  [DWN_MOUNT_ROOF_NEAR] = {
    N_("The lowest antenna is {value} above the roof; {limit} would be right"), dwn_word_length },
  [DWN_MOUNT_TWO_PEOPLE] = {
    N_("A mast of {value} is raised by two people"), dwn_word_length },
};

static void
fill_in (GString *text, const char *name, Measure measure, const DwnWording *wording, double value)
{
  g_autofree char *shown = measure (wording, value);

  g_string_replace (text, name, shown, 0);
}

char *
dwn_word_mount_finding (const DwnWording *wording, const DwnMountFinding *finding)
{
  g_return_val_if_fail (finding->code < G_N_ELEMENTS (sentences), NULL);

  GString *text = g_string_new (dwn_word (wording, sentences[finding->code].text));
  Measure measure = sentences[finding->code].measure;

  if (measure != NULL)
    {
      fill_in (text, "{value}", measure, wording, finding->value);
      fill_in (text, "{limit}", measure, wording, finding->limit);
    }
  return g_string_free (text, FALSE);
}

/* "10 AWG copper, 8 AWG aluminium": those of one purpose; NULL where there are none. */
static char *
list_sizes (const DwnWording *wording, const GArray *conductors, const char *purpose)
{
  g_autoptr (GString) list = g_string_new (NULL);

  for (guint i = 0; i < conductors->len; i++)
    {
      const DwnConductor *c = &g_array_index (conductors, DwnConductor, i);

      if (g_str_equal (c->purpose, purpose))
        g_string_append_printf (list, "%s%s %s", list->len > 0 ? ", " : "", c->size,
                                dwn_word (wording, c->material));
    }
  return list->len > 0 ? g_strdup (list->str) : NULL;
}

static gboolean
add_conductors (GPtrArray *lines, const DwnWording *wording, DwnSafetyRule rule, GError **error)
{
  static const struct {
    const char *purpose, *text;
  } purposes[] = {
    { "earth", N_("Mast and shields to earth, straight: at least {value}") },
    { "electrodes", N_("Electrode to electrode: at least {value}") },
    { "bonding", N_("Between the shields of the cables: at least {value}") },
  };
  g_autoptr (GArray) conductors = dwn_conductors (rule, error);

  for (gsize p = 0; conductors != NULL && p < G_N_ELEMENTS (purposes); p++)
    {
      g_autofree char *sizes = list_sizes (wording, conductors, purposes[p].purpose);

      if (sizes == NULL)
        continue;
      GString *line = g_string_new (dwn_word (wording, purposes[p].text));
      g_string_replace (line, "{value}", sizes, 0);
      g_ptr_array_add (lines, g_string_free (line, FALSE));
    }
  return conductors != NULL;
}

static void
add_line_clearance (GPtrArray *lines, const DwnWording *wording, const DwnMountStudy *study)
{
  if (isnan (study->clear_m))
    return;
  GString *line = g_string_new (dwn_word (wording, N_("Power lines: keep {value} away with all that "
                                                      "stands up")));
  fill_in (line, "{value}", dwn_word_length, wording, study->clear_m);
  g_ptr_array_add (lines, g_string_free (line, FALSE));
}

static void
add_ladder (GPtrArray *lines, const DwnWording *wording, const DwnMountRules *rules)
{
  GString *ladder = g_string_new (dwn_word (wording, N_("Ladder foot out a quarter of its length, "
                                                        "rails {value} above the edge")));

  fill_in (ladder, "{value}", dwn_word_length, wording, rules->ladder_above_m);
  g_ptr_array_add (lines, g_string_free (ladder, FALSE));
}

static gboolean
is_outdoors (const DwnPlan *plan)
{
  return plan->site->mount != DWN_MOUNT_ATTIC && plan->site->mount != DWN_MOUNT_INDOORS;
}

static void
add_who_decides (GPtrArray *lines, const DwnWording *wording)
{
  g_ptr_array_add (lines, g_strdup (dwn_word (wording, N_("Figures for planning: the local code and a "
                                                          "licensed practitioner decide"))));
}

GPtrArray *
dwn_word_mount_cautions (const DwnWording *wording, const DwnPlan *plan,
                         const DwnMountStudy *study, const DwnMountRules *rules, GError **error)
{
  g_autoptr (GPtrArray) lines = g_ptr_array_new_with_free_func (g_free);

  if (!is_outdoors (plan))
    g_ptr_array_add (lines, g_strdup (dwn_word (wording, N_("Step on joists only, keep clear of house "
                                                            "wiring, mind heat and nails"))));
  else
    {
      add_line_clearance (lines, wording, study);
      add_ladder (lines, wording, rules);
      if (!add_conductors (lines, wording, study->rule, error))
        return NULL;
    }
  add_who_decides (lines, wording);
  return g_steal_pointer (&lines);
}

GPtrArray *
dwn_word_mount_figures (const DwnWording *wording, const DwnPlan *plan, const DwnMountStudy *study,
                        GError **error)
{
  g_autoptr (GPtrArray) lines = g_ptr_array_new_with_free_func (g_free);

  if (!is_outdoors (plan))
    return g_steal_pointer (&lines);
  add_line_clearance (lines, wording, study);
  for (guint i = 0; i < study->findings->len; i++)
    {
      const DwnMountFinding *finding = &g_array_index (study->findings, DwnMountFinding, i);

      if (finding->weight == DWN_MOUNT_MEND)
        g_ptr_array_add (lines, dwn_word_mount_finding (wording, finding));
    }
  return add_conductors (lines, wording, study->rule, error) ? g_steal_pointer (&lines) : NULL;
}

char *
dwn_word_separation (const DwnWording *wording, const DwnChain *gear, guint antenna)
{
  DwnSeparation separation = dwn_separation_of (gear, antenna);

  if (separation.other < 0)
    return g_strdup ("");
  g_autofree char *other = dwn_word_antenna (wording, gear, (guint) separation.other);
  g_autofree char *apart = dwn_word_length (wording, separation.apart_m);
  g_autofree char *least = dwn_word_length (wording, separation.least_m);

  if (isnan (separation.isolation_db))
    /* Translators: "1.5 m", "UHF antenna", "1.0 m" */
    return g_strdup_printf (dwn_word (wording, N_("%s from the %s; keep at least %s")), apart, other, least);
  g_autofree char *isolation = dwn_word_decibels (wording, separation.isolation_db);
  /* Translators: "1.5 m", "UHF antenna", "1.0 m", "35.0 dB" */
  return g_strdup_printf (dwn_word (wording, N_("%s from the %s; keep at least %s; about %s of isolation")), apart,
                          other, least, isolation);
}
