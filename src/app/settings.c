#include "app/settings.h"

#include <langinfo.h>
#include <locale.h>
#include <string.h>

#include "config.h"

/* The build folder's schemas, as seen from the program in src/app. */
#define BESIDE "../../data"

#define LETTER_MM 279

enum { TRUE_BEARINGS, MAGNETIC };
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
  wording.magnetic_first = g_settings_get_enum (settings, DWN_SETTING_BEARINGS) == MAGNETIC;
  wording.level = (DwnLevelUnit) g_settings_get_enum (settings, DWN_SETTING_LEVELS);
  return wording;
}

/* glibc: millimetres. Letter is 216 x 279, A4 is 210 x 297. */
static gboolean
locale_has_letter (void)
{
  return GPOINTER_TO_INT (nl_langinfo (_NL_PAPER_HEIGHT)) == LETTER_MM; /* a number in a pointer's place */
}

gboolean
dwn_settings_letter (GSettings *settings)
{
  int paper = g_settings_get_enum (settings, DWN_SETTING_PAPER);

  return paper == PAPER_LETTER || (paper == PAPER_BY_LOCALE && locale_has_letter ());
}

/* What stations mostly send there (ITU and DVB country lists, from memory). DVB-T2 in 8 MHz stands for
 * all others. */
static const struct {
  DwnSystem system;
  const char *territories;
} regions[] = {
  { DWN_SYSTEM_ATSC1, "US CA MX PR HN SV DO" },
  { DWN_SYSTEM_ATSC3, "KR" },
  { DWN_SYSTEM_DVBT7, "AU" },
  { DWN_SYSTEM_DVBT8, "ES FR PT NL GR NO NZ" },
  { DWN_SYSTEM_ISDBT_JP, "JP" },
  { DWN_SYSTEM_ISDBT_BR, "BR AR BO CL CR EC GT NI PE PH PY UY VE" },
};

DwnSystem
dwn_system_of_territory (const char *territory)
{
  for (gsize i = 0; territory != NULL && i < G_N_ELEMENTS (regions); i++)
    {
      g_auto (GStrv) codes = g_strsplit (regions[i].territories, " ", -1);
      if (g_strv_contains ((const char *const *) codes, territory))
        return regions[i].system;
    }
  return DWN_SYSTEM_DVBT2_8;
}

/* Of units and money before that of language: somebody in Mexico may read English. */
static char *
locale_territory (void)
{
  static const int categories[] = { LC_MEASUREMENT, LC_MONETARY, LC_MESSAGES };

  for (gsize i = 0; i < G_N_ELEMENTS (categories); i++)
    {
      const char *name = setlocale (categories[i], NULL);
      const char *under = name != NULL ? strchr (name, '_') : NULL;
      if (under != NULL && g_ascii_isupper (under[1]) && g_ascii_isupper (under[2]))
        return g_strndup (under + 1, 2);
    }
  return NULL;
}

DwnSystem
dwn_settings_system (GSettings *settings)
{
  int region = settings != NULL ? g_settings_get_enum (settings, DWN_SETTING_REGION) : BY_LOCALE;
  g_autofree char *territory = locale_territory ();

  return region != BY_LOCALE ? (DwnSystem) (region - 1)
         : territory != NULL ? dwn_system_of_territory (territory) : DWN_SYSTEM_ATSC1;
}
