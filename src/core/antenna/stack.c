#include "core/antenna/stack.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#define PREFIX "stack-"
#define LIGHT_M_MHZ 299.792458

static const char *const direction_ids[] = {
  [DWN_STACK_VERTICAL] = "above-",
  [DWN_STACK_HORIZONTAL] = "beside-",
};

static const char *
skip (const char *text, const char *prefix)
{
  return g_str_has_prefix (text, prefix) ? text + strlen (prefix) : NULL;
}

gboolean
dwn_stack_id_parse (const char *id, DwnStackId *stack)
{
  g_return_val_if_fail (id != NULL && stack != NULL, FALSE);

  const char *rest = skip (id, PREFIX);

  for (guint d = 0; rest != NULL && d < G_N_ELEMENTS (direction_ids); d++)
    {
      const char *number = skip (rest, direction_ids[d]);
      char *end;

      if (number == NULL || !g_ascii_isdigit (*number))
        continue;
      *stack = (DwnStackId) { (DwnStack) d, g_ascii_strtod (number, &end), end + 1 };
      /* A stack of stacks has no id: whoever looks up what it is of would go on and on. */
      return *end == '-' && *stack->of != '\0' && stack->spacing_m > 0.0 && skip (stack->of, PREFIX) == NULL;
    }
  return FALSE;
}

char *
dwn_stack_id (const DwnStackId *stack)
{
  char number[G_ASCII_DTOSTR_BUF_SIZE];

  g_return_val_if_fail (stack != NULL && stack->of != NULL, NULL);

  g_ascii_formatd (number, sizeof number, "%.2f", stack->spacing_m);
  return g_strconcat (PREFIX, direction_ids[stack->direction], number, "-", stack->of, NULL);
}

DwnPattern *
dwn_stack_pattern (const DwnPattern *pattern, DwnStack direction, double spacing_m, GError **error)
{
  DwnStackId stack;

  g_return_val_if_fail (pattern != NULL, NULL);

  if (dwn_stack_id_parse (pattern->id, &stack))
    {
      g_set_error (error, DWN_PATTERN_ERROR, DWN_PATTERN_ERROR_RANGE,
                   _("“%s” is a stack already; only single antennas are stacked"), pattern->id);
      return NULL;
    }
  /* As its id says it, so that the same id is always the same antenna. */
  stack = (DwnStackId) { direction, round (spacing_m * 100.0) / 100.0, pattern->id };
  g_autoptr (DwnPattern) two = dwn_pair_stack (pattern, direction, stack.spacing_m,
                                               DWN_STACK_COMBINER_DB, error);
  if (two == NULL)
    return NULL;
  g_autofree char *id = dwn_stack_id (&stack);
  DwnPattern values = *two;
  values.id = id;
  values.price = 2.0 * pattern->price;
  return dwn_pattern_new (&values, error);
}

double
dwn_pattern_beamheight_deg (const DwnPattern *pattern, double mhz)
{
  double half_deg[2] = { 90.0, 90.0 };

  g_return_val_if_fail (pattern != NULL, (double) NAN);

  for (int side = 0; side < 2; side++)
    for (int up = 0; up <= 90; up++)
      if (dwn_pattern_elevation_db (pattern, side == 0 ? up : -up, mhz) < -3.0103)
        {
          half_deg[side] = up;
          break;
        }
  return half_deg[0] + half_deg[1];
}

double
dwn_stack_best_spacing_m (const DwnPattern *pattern, DwnStack direction, double mhz)
{
  g_return_val_if_fail (pattern != NULL, (double) NAN);

  if (!(mhz > 0.0))
    return (double) NAN;
  double width_deg = direction == DWN_STACK_VERTICAL ? dwn_pattern_beamheight_deg (pattern, mhz)
                                                     : dwn_pattern_beamwidth_deg (pattern, mhz);
  double spacing_m = dwn_stack_spacing_m (fmin (width_deg, 180.0), mhz);

  return fmin (fmax (spacing_m, LIGHT_M_MHZ / mhz / 2.0), DWN_STACK_MOST_M);
}
