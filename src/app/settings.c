#include "app/settings.h"

#include <langinfo.h>
#include <locale.h>
#include <string.h>

#include "config.h"

/* The build folder's schemas, as seen from the program in src/app. */
#define BESIDE "../../data"

enum { BY_LOCALE, METRIC, IMPERIAL };
enum { PAPER_BY_LOCALE, PAPER_A4, PAPER_LETTER };

static GSettingsSchema *
schema_beside (void)
{
  g_autofree char *program = g_file_read_link ("/proc/self/exe", NULL);
  g_autofree char *folder = program != NULL ? g_path_get_dirname (program) : NULL;
  g_autofree char *schemas = folder != NULL ? g_build_filename (folder, BESIDE, NULL) : NULL;
  GSettingsSchemaSource *source = schemas == NULL ? NULL
    : g_settings_schema_source_new_from_directory (schemas, g_settings_schema_source_get_default (), FALSE, NULL);
  GSettingsSchema *schema = source != NULL ? g_settings_schema_source_lookup (source, DWN_APP_ID, FALSE) : NULL;

  g_clear_pointer (&source, g_settings_schema_source_unref);
  return schema;
}

GSettings *
dwn_settings_new (void)
{
  GSettingsSchemaSource *source = g_settings_schema_source_get_default ();
  g_autoptr (GSettingsSchema) schema = source != NULL ? g_settings_schema_source_lookup (source, DWN_APP_ID, TRUE)
                                                      : NULL;

  if (schema == NULL)
    schema = schema_beside ();
  if (schema != NULL)
    return g_settings_new_full (schema, NULL, NULL);
  g_message ("The settings schema %s is not installed; nothing that is set will be kept", DWN_APP_ID);
  return NULL;
}

/* glibc: 1 metric, 2 as in the United States. */
static gboolean
locale_is_imperial (void)
{
  const char *measurement = nl_langinfo (_NL_MEASUREMENT_MEASUREMENT);

  return measurement != NULL && measurement[0] == 2;
}

DwnWording
dwn_settings_wording (GSettings *settings)
{
  int lengths = g_settings_get_enum (settings, DWN_SETTING_LENGTHS);
  gboolean imperial = lengths == IMPERIAL || (lengths == BY_LOCALE && locale_is_imperial ());
  DwnWording wording = dwn_wording_metric;

  wording.miles = wording.feet = imperial;
  wording.level = (DwnLevelUnit) g_settings_get_enum (settings, DWN_SETTING_LEVELS);
  return wording;
}

gboolean
dwn_settings_letter (GSettings *settings)
{
  int paper = g_settings_get_enum (settings, DWN_SETTING_PAPER);

  return paper == PAPER_LETTER || (paper == PAPER_BY_LOCALE && locale_is_imperial ());
}
