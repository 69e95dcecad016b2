#include "core/study/advice-private.h"

#include <glib/gi18n-lib.h>

#include "core/data/ini.h"

#define FILE_NAME "study/advice.ini"
/* A tuple of a rig keeps an antenna's number in a byte. */
#define MOST_ANTENNAS 200

static gboolean
fits_mount (const DwnIni *ini, const char *group, DwnMount mount, gboolean *fits, GError **error)
{
  const char *where = dwn_ini_string (ini, group, "mount", error);
  gboolean inside = mount == DWN_MOUNT_ATTIC || mount == DWN_MOUNT_INDOORS;

  if (where == NULL)
    return FALSE;
  if (!g_str_equal (where, "any") && !g_str_equal (where, "inside") && !g_str_equal (where, "outside"))
    {
      dwn_ini_refuse (ini, group, "mount", error, _("“%s” should be any, inside or outside"), where);
      return FALSE;
    }
  *fits = g_str_equal (where, "any") || inside == g_str_equal (where, "inside");
  return TRUE;
}

static GPtrArray *
patterns_new (void)
{
  return g_ptr_array_new_with_free_func ((GDestroyNotify) dwn_pattern_unref);
}

GPtrArray *
dwn_advice_starter_set (const DwnTables *tables, DwnMount mount, GError **error)
{
  g_autoptr (DwnIni) ini = dwn_ini_new_from_data (FILE_NAME, error);
  g_autoptr (GPtrArray) patterns = patterns_new ();
  gsize n;

  if (ini == NULL)
    return NULL;
  const char *const *groups = dwn_ini_groups (ini, &n);
  for (gsize i = 0; i < n; i++)
    {
      gboolean fits = FALSE;

      if (!fits_mount (ini, groups[i], mount, &fits, error))
        return NULL;
      DwnPattern *pattern = fits ? dwn_catalogue_pattern (tables->catalogue, groups[i], error) : NULL;
      if (fits && pattern == NULL)
        {
          g_prefix_error (error, "%s: ", FILE_NAME);
          return NULL;
        }
      if (fits)
        g_ptr_array_add (patterns, pattern);
    }
  return g_steal_pointer (&patterns);
}

/* By its name in the plan's gear where it stands there, otherwise from the catalogue. */
static DwnPattern *
named_pattern (const DwnPlan *plan, const DwnTables *tables, const char *id, GError **error)
{
  const DwnChain *gear = plan->gear;

  for (guint a = 0; a < gear->n_antennas; a++)
    if (g_str_equal (gear->part[gear->antenna[a]].pattern->id, id))
      return dwn_pattern_ref (gear->part[gear->antenna[a]].pattern);
  return dwn_antenna_resolve (tables->catalogue, id, error);
}

static GPtrArray *
plan_set (const DwnPlan *plan, const DwnTables *tables, GError **error)
{
  g_autoptr (GPtrArray) patterns = patterns_new ();

  for (guint k = 0; k < plan->method->n_allowed; k++)
    {
      DwnPattern *pattern = named_pattern (plan, tables, plan->method->allowed[k], error);

      if (pattern == NULL)
        return NULL;
      g_ptr_array_add (patterns, pattern);
    }
  return g_steal_pointer (&patterns);
}

GPtrArray *
dwn_advice_antennas (const DwnPlan *plan, const DwnTables *tables, const DwnAdviceOptions *options,
                     GError **error)
{
  GPtrArray *patterns;

  if (options != NULL && options->n_antennas > 0)
    {
      patterns = patterns_new ();
      for (guint k = 0; k < options->n_antennas; k++)
        g_ptr_array_add (patterns, dwn_pattern_ref (options->pattern[k]));
    }
  else if (plan->method->n_allowed > 0)
    patterns = plan_set (plan, tables, error);
  else
    patterns = dwn_advice_starter_set (tables, plan->site->mount, error);
  if (patterns != NULL && patterns->len > MOST_ANTENNAS)
    {
      g_set_error (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_LIMIT,
                   _("advice chooses from %u antennas at most"), MOST_ANTENNAS);
      g_clear_pointer (&patterns, g_ptr_array_unref);
    }
  return patterns;
}
