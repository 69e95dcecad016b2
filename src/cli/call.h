/* One call of the command line: its options, its values, its rows. */
#pragma once

#include <gio/gio.h>

#include "core/geo/date.h"
#include "core/geo/lat-lon.h"

G_BEGIN_DECLS

#define DWN_CALL_ERROR (dwn_call_error_quark ())
GQuark dwn_call_error_quark (void);
typedef enum {
  DWN_CALL_ERROR_USAGE, /* exit status 2; every other error is 1 */
  DWN_CALL_ERROR_VALUE, /* an option's value is refused */
} DwnCallError;

typedef enum {
  DWN_OPTION_OPTIONAL,
  DWN_OPTION_REQUIRED,
  DWN_OPTION_REPEATED, /* may stand several times */
  DWN_OPTION_FLAG,     /* takes no value */
} DwnOptionKind;

typedef struct {
  const char *name;     /* "from"; 'o' for a name of one letter */
  const char *value;    /* "LAT,LON"; NULL for a flag */
  DwnOptionKind kind;
} DwnOption;

#define DWN_MAX_OPTIONS 24

typedef struct _DwnCall DwnCall;

typedef struct {
  const char *name;
  const char *arguments; /* "PLAN", "FILE…"; NULL: none */
  guint min_arguments, max_arguments;
  const char *summary;   /* English, msgid */
  const DwnOption *options; /* ends with a NULL name */
  gboolean (*run) (DwnCall *call, GError **error);
} DwnCommand;

struct _DwnCall {
  const DwnCommand *command;
  char **arguments;     /* positional; NULL-terminated */
  gboolean tsv;
  char *value[DWN_MAX_OPTIONS];
  char **values[DWN_MAX_OPTIONS];
  gboolean flag[DWN_MAX_OPTIONS];
};

/* Runs the command on its arguments (without its name); prints errors. Returns the exit status. */
int dwn_command_run (const DwnCommand *command, int argc, char **argv);

/* (nullable): the text of an option. */
const char *dwn_call_text (const DwnCall *call, const char *option);
/* (array zero-terminated=1): of a repeated option; empty where it is not given. */
const char *const *dwn_call_texts (const DwnCall *call, const char *option);
gboolean dwn_call_flag (const DwnCall *call, const char *option);

/* These leave *value as it is where the option is not given, and refuse what is not a number from
 * @min to @max, not a place, not a date. */
gboolean dwn_call_number (const DwnCall *call, const char *option, double min, double max,
                          double *value, GError **error);
gboolean dwn_call_integer (const DwnCall *call, const char *option, int min, int max, int *value,
                           GError **error);
gboolean dwn_call_place (const DwnCall *call, const char *option, DwnLatLon *at, GError **error);
gboolean dwn_call_date (const DwnCall *call, const char *option, DwnDate *date, GError **error);
/* Numbers joined by commas. Returns: (transfer full) (element-type double): empty where not given. */
GArray *dwn_call_numbers (const DwnCall *call, const char *option, double min, double max,
                          GError **error);

void dwn_call_refuse (GError **error, const char *format, ...) G_GNUC_PRINTF (2, 3);
void dwn_call_usage (GError **error, const char *format, ...) G_GNUC_PRINTF (2, 3);
DwnDate dwn_today (void); /* by the machine's clock and time zone */
void dwn_warn (const char *text); /* one line on standard error */

/* Rows of a result. With --tsv a header and tab-separated rows, untranslated, numbers as %.12g
 * with a point; otherwise aligned columns for people. */
typedef struct _DwnRows DwnRows;
DwnRows *dwn_rows_new (const DwnCall *call, const char *columns); /* names separated by blanks */
void dwn_rows_text (DwnRows *rows, const char *text);     /* NULL: empty */
void dwn_rows_number (DwnRows *rows, double value);       /* NaN and infinite: empty */
void dwn_rows_print (DwnRows *rows);                      /* and frees */
void dwn_rows_free (DwnRows *rows);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnRows, dwn_rows_free)

extern const DwnCommand dwn_command_bearing, dwn_command_declination, dwn_command_sun;
extern const DwnCommand dwn_command_channel, dwn_command_curve, dwn_command_path;
extern const DwnCommand dwn_command_profile, dwn_command_skyline, dwn_command_pattern;
extern const DwnCommand dwn_command_import, dwn_command_new_plan, dwn_command_check;
extern const DwnCommand dwn_command_chain, dwn_command_budget, dwn_command_advise;
extern const DwnCommand dwn_command_explain, dwn_command_learn, dwn_command_readings;
extern const DwnCommand dwn_command_scan, dwn_command_symptoms;
extern const DwnCommand dwn_command_draw, dwn_command_sheet, dwn_command_customer;

G_END_DECLS
