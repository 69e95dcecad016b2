/* Ranges, asked at both ends: the end itself is taken, a little beyond is refused. */
#pragma once

#include <math.h>
#include <string.h>

#include "core/data/data.h"
#include "core/radio/path-model.h"

/* Of a member of DwnPathQuery. */
typedef struct {
  const char *name;
  gsize field;
  double low, high;
} QueryEdges;

static inline double
edge_beyond (double end, double sign)
{
  return end + sign * 0.005 * (end == 0 ? 1 : fabs (end));
}

static inline gboolean
edge_is_in_domain (const DwnPathModel *model, DwnPathQuery query, gsize field, double value)
{
  gsize n = query.profile == NULL ? 0 : query.profile->n;
  g_autofree char *workspace = g_malloc (model->workspace_size == NULL ? 1
                                                                       : model->workspace_size (n) + 1);
  g_autoptr (GError) error = NULL;
  DwnPathLoss out;

  *(double *) ((char *) &query + field) = value;
  return model->loss (&query, workspace, &out, &error)
         || !g_error_matches (error, DWN_PATH_ERROR, DWN_PATH_ERROR_DOMAIN);
}

static inline void
edges_check_query (const DwnPathModel *model, const DwnPathQuery *query, const QueryEdges *edges)
{
  g_test_message ("%s", edges->name);
  g_assert_true (edge_is_in_domain (model, *query, edges->field, edges->low));
  g_assert_true (edge_is_in_domain (model, *query, edges->field, edges->high));
  g_assert_false (edge_is_in_domain (model, *query, edges->field, edge_beyond (edges->low, -1)));
  g_assert_false (edge_is_in_domain (model, *query, edges->field, edge_beyond (edges->high, 1)));
}

/* Of a figure in one of our data files. In a list it stands between @before and @after; NaN: this
 * end is not asked for. */
typedef struct {
  const char *group, *key;
  double low, high;
  const char *before, *after; /* (nullable) */
} FileEdges;

/* FALSE with @error where the file is refused. */
typedef gboolean (*EdgesReader) (GBytes *bytes, GError **error);

/* The file @name with one line changed. */
static inline GBytes *
edges_changed_file (const char *name, const FileEdges *edges, double value)
{
  g_autoptr (GBytes) bytes = dwn_data_lookup (name, NULL, NULL);
  g_autofree char *text = g_strndup (g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes));
  g_autofree char *head = g_strdup_printf ("\n[%s]\n", edges->group);
  g_autofree char *entry = g_strdup_printf ("\n%s =", edges->key);
  char *group = strstr (text, head);
  char *line = group == NULL ? NULL : strstr (group + 1, entry);
  char digits[G_ASCII_DTOSTR_BUF_SIZE];

  g_assert_nonnull (line);
  *line++ = '\0';
  char *rest = strchr (line, '\n');
  g_autofree char *changed = g_strconcat (
    text, "\n", edges->key, " = ", edges->before == NULL ? "" : edges->before,
    g_ascii_dtostr (digits, sizeof digits, value), edges->after == NULL ? "" : edges->after, rest, NULL);
  return g_bytes_new (changed, strlen (changed));
}

static inline gboolean
edge_is_read (const char *name, EdgesReader read, const FileEdges *edges, double value)
{
  g_autoptr (GBytes) bytes = edges_changed_file (name, edges, value);
  g_autoptr (GError) error = NULL;

  return read (bytes, &error);
}

static inline void
edges_check_file (const char *name, EdgesReader read, const FileEdges *edges)
{
  g_test_message ("%s %s", edges->group, edges->key);
  if (!isnan (edges->low))
    {
      g_assert_true (edge_is_read (name, read, edges, edges->low));
      g_assert_false (edge_is_read (name, read, edges, edge_beyond (edges->low, -1)));
    }
  if (!isnan (edges->high))
    {
      g_assert_true (edge_is_read (name, read, edges, edges->high));
      g_assert_false (edge_is_read (name, read, edges, edge_beyond (edges->high, 1)));
    }
}
