#include "core/plan/import-map.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "core/plan/csv.h"
#include "core/plan/fields.h"
#include "core/plan/import.h"

#define MAP_LINES_MAX 2000

typedef enum {
  SECTION_NONE,
  SECTION_FILE,
  SECTION_COLUMNS,
  SECTION_FIXED,
  SECTION_WORDS,
  N_SECTIONS,
} Section;

static const char *const section_names[N_SECTIONS] = { "", "file", "columns", "fixed", "words" };

static const char *const keys[DWN_N_MAP_FIELDS] = {
  [DWN_MAP_ID] = "id", [DWN_MAP_NAME] = "name", [DWN_MAP_SITE] = "site", [DWN_MAP_KIND] = "kind",
  [DWN_MAP_SYSTEM] = "system", [DWN_MAP_MODE] = "mode", [DWN_MAP_RF] = "rf", [DWN_MAP_MHZ] = "mhz",
  [DWN_MAP_KHZ] = "khz", [DWN_MAP_HZ] = "hz", [DWN_MAP_LAT] = "lat", [DWN_MAP_LON] = "lon",
  [DWN_MAP_LAT_PACKED] = "lat-packed", [DWN_MAP_LON_PACKED] = "lon-packed",
  [DWN_MAP_ERP_KW] = "erp-kw", [DWN_MAP_ERP_W] = "erp-w", [DWN_MAP_ERP_DBW] = "erp-dbw",
  [DWN_MAP_ERP_DBK] = "erp-dbk", [DWN_MAP_EIRP_KW] = "eirp-kw", [DWN_MAP_EIRP_W] = "eirp-w",
  [DWN_MAP_EIRP_DBW] = "eirp-dbw", [DWN_MAP_HAAT_M] = "haat-m", [DWN_MAP_HAAT_FT] = "haat-ft",
  [DWN_MAP_AGL_M] = "agl-m", [DWN_MAP_AGL_FT] = "agl-ft", [DWN_MAP_AMSL_M] = "amsl-m",
  [DWN_MAP_AMSL_FT] = "amsl-ft", [DWN_MAP_POLARISATION] = "polarisation",
  [DWN_MAP_NETWORK] = "network", [DWN_MAP_DELAY_US] = "delay-us", [DWN_MAP_SERVICE] = "service",
  [DWN_MAP_SERVICE_NAME] = "service-name", [DWN_MAP_ON_SCREEN] = "on-screen",
  [DWN_MAP_DATED] = "dated",
};

/* Fields of which one must be there. */
static const struct {
  DwnMapField first, last;
} needed[] = {
  { DWN_MAP_NAME, DWN_MAP_NAME },
  { DWN_MAP_RF, DWN_MAP_HZ },
  { DWN_MAP_ERP_KW, DWN_MAP_EIRP_DBW },
};

struct _DwnImportMap {
  const char *file;
  char separator, decimal;
  guint header;
  struct {
    char *column;  /* as in the mapping file; NULL: none */
    char *fixed;
    guint line;    /* of the mapping file */
    guint at;      /* once resolved */
  } field[DWN_N_MAP_FIELDS];
  GHashTable *words; /* "key.word", folded -> meaning */
};

G_GNUC_PRINTF (4, 5)
static gboolean
refuse (const DwnImportMap *map, guint line, GError **error, const char *format, ...)
{
  va_list arguments;

  va_start (arguments, format);
  g_autofree char *text = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_set_error (error, DWN_IMPORT_ERROR, DWN_IMPORT_ERROR_MAP, "%s:%u: %s", map->file, line, text);
  return FALSE;
}

static int
find_key (const char *key)
{
  for (guint i = 0; i < DWN_N_MAP_FIELDS; i++)
    if (strcmp (key, keys[i]) == 0)
      return (int) i;
  return -1;
}

static gboolean
refuse_key (const DwnImportMap *map, guint line, const char *key, GError **error)
{
  g_autoptr (GString) all = g_string_new (NULL);

  for (guint i = 0; i < DWN_N_MAP_FIELDS; i++)
    g_string_append_printf (all, "%s%s", i > 0 ? " " : "", keys[i]);
  return refuse (map, line, error, _("there is no field \"%s\"; there are %s"), key, all->str);
}

static gboolean
read_file_key (DwnImportMap *map, guint line, const char *key, const char *value, GError **error)
{
  static const struct {
    const char *name;
    char separator, decimal;
  } marks[] = { { "comma", ',', ',' }, { "semicolon", ';', 0 }, { "tab", '\t', 0 },
                { "point", 0, '.' } };
  double number;

  if (strcmp (key, "header") == 0)
    {
      if (!dwn_field_number (value, '.', &number) || number < 0 || number > 100
          || number != (guint) number)
        return refuse (map, line, error, _("header \"%s\" is not a whole number of 0 to 100"),
                       value);
      map->header = (guint) number;
      return TRUE;
    }
  for (guint i = 0; i < G_N_ELEMENTS (marks); i++)
    if (strcmp (value, marks[i].name) == 0)
      {
        if (strcmp (key, "separator") == 0 && marks[i].separator != 0)
          map->separator = marks[i].separator;
        else if (strcmp (key, "decimal") == 0 && marks[i].decimal != 0)
          map->decimal = marks[i].decimal;
        else
          break;
        return TRUE;
      }
  return refuse (map, line, error,
                 _("\"%s = %s\" is not known here; separator is comma, semicolon or tab, decimal "
                   "is point or comma, header is a number"), key, value);
}

static gboolean
read_field (DwnImportMap *map, Section section, guint line, const char *key, const char *value,
            GError **error)
{
  int at = find_key (key);

  if (at < 0)
    return refuse_key (map, line, key, error);
  if (map->field[at].line != 0)
    return refuse (map, line, error, _("%s stands in line %u already"), key, map->field[at].line);
  if (section == SECTION_COLUMNS)
    map->field[at].column = g_strdup (value);
  else
    map->field[at].fixed = g_strdup (value);
  map->field[at].line = line;
  return TRUE;
}

static gboolean
read_word (DwnImportMap *map, guint line, const char *key, const char *value, GError **error)
{
  const char *dot = strchr (key, '.');
  g_autofree char *field = dot != NULL ? g_strndup (key, (gsize) (dot - key)) : NULL;

  if (dot == NULL || dot[1] == '\0')
    return refuse (map, line, error, _("\"%s\" is not a field, a point and a word"), key);
  if (find_key (field) < 0)
    return refuse_key (map, line, field, error);
  g_hash_table_insert (map->words, g_utf8_casefold (key, -1), g_strdup (value));
  return TRUE;
}

static gboolean
read_section (const DwnImportMap *map, guint line, const char *text, Section *section,
              GError **error)
{
  for (guint i = SECTION_FILE; i < N_SECTIONS; i++)
    {
      g_autofree char *heading = g_strdup_printf ("[%s]", section_names[i]);

      if (strcmp (text, heading) == 0)
        {
          *section = (Section) i;
          return TRUE;
        }
    }
  return refuse (map, line, error,
                 _("unknown heading \"%s\"; [file], [columns], [fixed] or [words] would be right"),
                 text);
}

static gboolean
read_line (DwnImportMap *map, guint line, char *text, Section *section, GError **error)
{
  char *equals, *value;

  g_strstrip (text);
  if (*text == '\0' || *text == '#')
    return TRUE;
  if (*text == '[')
    return read_section (map, line, text, section, error);
  equals = strchr (text, '=');
  if (equals == NULL || *section == SECTION_NONE)
    return refuse (map, line, error,
                   _("\"%s\" is not \"key = value\" under a heading in brackets"), text);
  *equals = '\0';
  value = g_strstrip (equals + 1);
  g_strstrip (text);
  if (*value == '\0')
    return refuse (map, line, error, _("%s has no value"), text);
  if (*section == SECTION_FILE)
    return read_file_key (map, line, text, value, error);
  if (*section == SECTION_WORDS)
    return read_word (map, line, text, value, error);
  return read_field (map, *section, line, text, value, error);
}

static gboolean
has_any (const DwnImportMap *map, DwnMapField first, DwnMapField last)
{
  for (guint i = first; i <= last; i++)
    if (dwn_import_map_has (map, (DwnMapField) i))
      return TRUE;
  return FALSE;
}

static gboolean
check_needed (const DwnImportMap *map, guint lines, GError **error)
{
  for (guint i = 0; i < G_N_ELEMENTS (needed); i++)
    if (!has_any (map, needed[i].first, needed[i].last))
      return refuse (map, lines, error, _("no column for %s%s%s"), keys[needed[i].first],
                     needed[i].first != needed[i].last ? " ... " : "",
                     needed[i].first != needed[i].last ? keys[needed[i].last] : "");
  if ((!dwn_import_map_has (map, DWN_MAP_LAT) && !dwn_import_map_has (map, DWN_MAP_LAT_PACKED))
      || (!dwn_import_map_has (map, DWN_MAP_LON) && !dwn_import_map_has (map, DWN_MAP_LON_PACKED)))
    return refuse (map, lines, error, _("no columns for lat and lon (or lat-packed, lon-packed)"));
  return TRUE;
}

static gboolean
read_lines (DwnImportMap *map, DwnLines *lines, GError **error)
{
  g_autoptr (GError) problem = NULL;
  Section section = SECTION_NONE;
  char *text;
  gsize length;

  while (dwn_lines_next (lines, &text, &length, &problem))
    {
      guint line = dwn_lines_number (lines);

      if (line > MAP_LINES_MAX)
        return refuse (map, line, error, _("more than %d lines; a mapping has a few dozen"),
                       MAP_LINES_MAX);
      if (!read_line (map, line, text, &section, error))
        return FALSE;
    }
  if (problem != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&problem));
      return FALSE;
    }
  return check_needed (map, MAX (1, dwn_lines_number (lines)), error);
}

DwnImportMap *
dwn_import_map_read (const DwnInput *input, GError **error)
{
  g_return_val_if_fail (input != NULL, NULL);

  g_autoptr (DwnLines) lines = dwn_lines_open (input, NULL, error);
  if (lines == NULL)
    return NULL;

  g_autoptr (DwnImportMap) map = g_new0 (DwnImportMap, 1);
  map->file = dwn_lines_name (lines);
  map->decimal = '.';
  map->header = 1;
  map->words = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, g_free);
  return read_lines (map, lines, error) ? g_steal_pointer (&map) : NULL;
}

void
dwn_import_map_free (DwnImportMap *map)
{
  g_return_if_fail (map != NULL);

  for (guint i = 0; i < DWN_N_MAP_FIELDS; i++)
    {
      g_free (map->field[i].column);
      g_free (map->field[i].fixed);
    }
  g_hash_table_unref (map->words);
  g_free (map);
}

char
dwn_import_map_separator (const DwnImportMap *map)
{
  return map->separator;
}

char
dwn_import_map_decimal (const DwnImportMap *map)
{
  return map->decimal;
}

guint
dwn_import_map_header (const DwnImportMap *map)
{
  return map->header;
}

static gboolean
refuse_column (const DwnImportMap *map, guint field, char *const *header, guint n, GError **error)
{
  g_autoptr (GString) there = g_string_new (NULL);

  for (guint i = 0; i < n && there->len < 400; i++)
    g_string_append_printf (there, "%s%s", i > 0 ? ", " : "", header[i]);
  if (n == 0)
    g_string_append (there, _("none with a name; write #1 for the first"));
  return refuse (map, map->field[field].line, error,
                 _("the file has no column \"%s\"; its columns are %s"), map->field[field].column,
                 there->str);
}

gboolean
dwn_import_map_resolve (DwnImportMap *map, char *const *header, guint n, GError **error)
{
  g_return_val_if_fail (map != NULL, FALSE);

  for (guint i = 0; i < DWN_N_MAP_FIELDS; i++)
    {
      const char *column = map->field[i].column;
      int at = -1;
      double number;

      if (column == NULL)
        continue;
      if (n > 0)
        at = dwn_csv_column (header, n, 0, column);
      if (at < 0 && *column == '#' && dwn_field_number (column + 1, '.', &number) && number >= 1
          && number <= DWN_CSV_FIELDS_MAX && number == (guint) number)
        at = (int) number - 1;
      if (at < 0)
        return refuse_column (map, i, header, n, error);
      map->field[i].at = (guint) at;
    }
  return TRUE;
}

gboolean
dwn_import_map_has (const DwnImportMap *map, DwnMapField field)
{
  return map->field[field].column != NULL || map->field[field].fixed != NULL;
}

const char *
dwn_import_map_get (const DwnImportMap *map, DwnMapField field, char *const *record, guint n)
{
  const char *text = "", *meaning;

  if (map->field[field].fixed != NULL)
    return map->field[field].fixed;
  if (map->field[field].column != NULL && map->field[field].at < n)
    text = record[map->field[field].at];
  if (g_hash_table_size (map->words) > 0)
    {
      g_autofree char *word = g_strconcat (keys[field], ".", text, NULL);
      g_autofree char *folded = g_utf8_casefold (word, -1);

      meaning = g_hash_table_lookup (map->words, folded);
      if (meaning != NULL)
        return meaning;
    }
  return strcmp (text, "-") == 0 ? "" : text;
}

const char *
dwn_map_field_key (DwnMapField field)
{
  g_return_val_if_fail ((guint) field < DWN_N_MAP_FIELDS, NULL);

  return keys[field];
}
