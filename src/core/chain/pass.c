/* Channel filters: ranges of MHz that each input lets through. */
#include "core/chain/chain-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/chain/part-private.h"

#define MAX_RANGES 32 /* on one input */
#define MAX_NODES (4 * MAX_RANGES)
#define MAX_MHZ 10000.0

typedef struct {
  double low_mhz, high_mhz;
} Range;

/* The ranges of one input, rising. */
typedef struct {
  guint n;
  Range range[MAX_RANGES];
} Input;

static gboolean
fail (const char *text, const char *what, GError **error)
{
  g_set_error (error, DWN_CHAIN_ERROR, DWN_CHAIN_ERROR_LIMIT,
               _("“%s”: %s; ranges in MHz look like 470-500 560-572;584-608"), text, what);
  return FALSE;
}

static gboolean
read_range (const char *word, Range *range)
{
  g_auto (GStrv) end = g_strsplit (word, "-", 3);

  return g_strv_length (end) == 2
         && dwn_part_parse_number (end[0], &range->low_mhz)
         && dwn_part_parse_number (end[1], &range->high_mhz)
         && range->low_mhz > 0 && range->high_mhz >= range->low_mhz && range->high_mhz <= MAX_MHZ;
}

static gboolean
read_input (const char *text, Input *input, GError **error)
{
  g_auto (GStrv) word = g_strsplit_set (text, " \t", -1);

  input->n = 0;
  for (char **w = word; *w != NULL; w++)
    {
      if (**w == '\0')
        continue;
      if (input->n == MAX_RANGES)
        return fail (text, _("too many ranges"), error);
      if (!read_range (*w, &input->range[input->n]))
        return fail (*w, _("not a range"), error);
      if (input->n > 0 && input->range[input->n].low_mhz < input->range[input->n - 1].high_mhz)
        return fail (text, _("ranges must rise"), error);
      input->n++;
    }
  return input->n > 0 || fail (text, _("an input without a range"), error);
}

static void
add_node (DwnResponse *response, double mhz, double db)
{
  double *node_mhz = (double *) response->mhz, *node_db = (double *) response->db;

  if (response->n > 0 && mhz <= node_mhz[response->n - 1])
    return; /* two ranges that touch, or one of no width */
  node_mhz[response->n] = mhz;
  node_db[response->n] = db;
  response->n++;
}

/* Slopes of neighbouring ranges that meet before they are down meet half-way. */
static void
fill_response (const Input *input, const DwnPartType *type, double pass_db, DwnResponse *response)
{
  double fall_db = pass_db - type->stop_db, edge_mhz = type->edge_mhz;

  for (guint k = 0; k < input->n; k++)
    {
      const Range *range = &input->range[k];
      double next_mhz = k + 1 < input->n ? input->range[k + 1].low_mhz : G_MAXDOUBLE;
      double last_mhz = k > 0 ? input->range[k - 1].high_mhz : -G_MAXDOUBLE;
      double half_mhz = (next_mhz - range->high_mhz) / 2;

      if (range->low_mhz - last_mhz > 2 * edge_mhz)
        add_node (response, range->low_mhz - edge_mhz, type->stop_db);
      add_node (response, range->low_mhz, pass_db);
      add_node (response, range->high_mhz, pass_db);
      if (half_mhz > edge_mhz)
        add_node (response, range->high_mhz + edge_mhz, type->stop_db);
      else
        add_node (response, range->high_mhz + half_mhz, pass_db - fall_db * half_mhz / edge_mhz);
    }
}

static DwnResponse *
responses_of (const Input *input, const DwnPartType *type)
{
  gsize head = type->n_in * sizeof (DwnResponse);
  gsize nodes = 2 * (gsize) MAX_NODES * type->n_in * sizeof (double);
  DwnResponse *response = g_malloc0 (head + nodes);
  double *node = (double *) (gpointer) ((char *) response + head);

  for (guint i = 0; i < type->n_in; i++)
    {
      const Range *range = &input[i].range[0];

      response[i].mhz = node + 2 * (gsize) MAX_NODES * i;
      response[i].db = response[i].mhz + MAX_NODES;
      fill_response (&input[i], type, dwn_response_db (&type->gain[i][0], range->low_mhz),
                     &response[i]);
    }
  return response;
}

/* Two inputs that let one frequency through would give more power than they take. */
static gboolean
is_passive (const DwnResponse *response, guint n)
{
  for (guint i = 0; i < n; i++)
    for (guint k = 0; k < response[i].n; k++)
      {
        double sum = 0;

        for (guint j = 0; j < n; j++)
          sum += dwn_ratio_of_db (dwn_response_db (&response[j], response[i].mhz[k]));
        if (sum > 1)
          return FALSE;
      }
  return TRUE;
}

static gboolean
read_inputs (const char *pass, const DwnPartType *type, Input *input, GError **error)
{
  g_auto (GStrv) text = g_strsplit (pass, ";", DWN_MAX_PORTS + 1);

  if (isnan (type->edge_mhz))
    return fail (pass, _("only channel filters can be given ranges"), error);
  if (g_strv_length (text) != type->n_in)
    return fail (pass, _("every input needs its ranges"), error);
  for (guint i = 0; i < type->n_in; i++)
    if (!read_input (text[i], &input[i], error))
      return FALSE;
  return TRUE;
}

DwnResponse *
dwn_pass_parse (const char *pass, const DwnPartType *type, GError **error)
{
  Input input[DWN_MAX_PORTS];

  if (!read_inputs (pass, type, input, error))
    return NULL;
  g_autofree DwnResponse *response = responses_of (input, type);
  if (!is_passive (response, type->n_in))
    {
      fail (pass, _("two inputs let the same frequencies through"), error);
      return NULL;
    }
  return g_steal_pointer (&response);
}
