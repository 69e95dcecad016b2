#include "cli/call.h"

#include <glib/gi18n.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "core/geo/coordinates.h"

G_DEFINE_QUARK (dwn-call-error-quark, dwn_call_error)

enum { EXIT_DONE = 0, EXIT_REFUSED = 1, EXIT_USAGE = 2 };

void
dwn_warn (const char *text)
{
  fprintf (stderr, "downlead-cli: %s\n", text);
}

DwnDate
dwn_today (void)
{
  g_autoptr (GDateTime) now = g_date_time_new_now_local ();
  DwnDate date;

  g_date_time_get_ymd (now, &date.year, &date.month, &date.day);
  return date;
}

static void
set_error (GError **error, DwnCallError code, const char *format, va_list args)
{
  g_autofree char *text = g_strdup_vprintf (format, args);

  g_set_error_literal (error, DWN_CALL_ERROR, (int) code, text);
}

void
dwn_call_refuse (GError **error, const char *format, ...)
{
  va_list args;

  va_start (args, format);
  set_error (error, DWN_CALL_ERROR_VALUE, format, args);
  va_end (args);
}

void
dwn_call_usage (GError **error, const char *format, ...)
{
  va_list args;

  va_start (args, format);
  set_error (error, DWN_CALL_ERROR_USAGE, format, args);
  va_end (args);
}

static int
find_option (const DwnCommand *command, const char *name)
{
  for (int i = 0; command->options[i].name != NULL; i++)
    if (g_str_equal (command->options[i].name, name))
      return i;
  g_error ("%s has no option %s", command->name, name);
}

const char *
dwn_call_text (const DwnCall *call, const char *option)
{
  return call->value[find_option (call->command, option)];
}

const char *const *
dwn_call_texts (const DwnCall *call, const char *option)
{
  static const char *const none[] = { NULL };
  char **values = call->values[find_option (call->command, option)];

  return values != NULL ? (const char *const *) values : none;
}

gboolean
dwn_call_flag (const DwnCall *call, const char *option)
{
  return call->flag[find_option (call->command, option)];
}

/* Strict and locale-free: digits, a point, an exponent, nothing around. */
static gboolean
parse_number (const char *text, double *value)
{
  char *end;

  if (text[0] == '\0' || strpbrk (text, " \t\nxX") != NULL)
    return FALSE;
  *value = g_ascii_strtod (text, &end);
  return *end == '\0' && isfinite (*value);
}

static gboolean
number_in_range (const char *option, const char *text, double min, double max, double *value,
                 GError **error)
{
  double number;

  if (!parse_number (text, &number))
    {
      dwn_call_refuse (error, _("--%s %s: not a number; write one with a decimal point"), option, text);
      return FALSE;
    }
  if (number < min || number > max)
    {
      dwn_call_refuse (error, _("--%s %s: outside %g to %g"), option, text, min, max);
      return FALSE;
    }
  *value = number;
  return TRUE;
}

gboolean
dwn_call_number (const DwnCall *call, const char *option, double min, double max, double *value,
                 GError **error)
{
  const char *text = dwn_call_text (call, option);

  return text == NULL || number_in_range (option, text, min, max, value, error);
}

gboolean
dwn_call_integer (const DwnCall *call, const char *option, int min, int max, int *value,
                  GError **error)
{
  double number = *value;

  if (!dwn_call_number (call, option, min, max, &number, error))
    return FALSE;
  if (floor (number) != number)
    {
      dwn_call_refuse (error, _("--%s %s: not a whole number"), option, dwn_call_text (call, option));
      return FALSE;
    }
  *value = (int) number;
  return TRUE;
}

gboolean
dwn_call_place (const DwnCall *call, const char *option, DwnLatLon *at, GError **error)
{
  const char *text = dwn_call_text (call, option);

  if (text == NULL || dwn_lat_lon_parse (text, at, error))
    return TRUE;
  g_prefix_error (error, "--%s %s: ", option, text);
  return FALSE;
}

gboolean
dwn_call_date (const DwnCall *call, const char *option, DwnDate *date, GError **error)
{
  const char *text = dwn_call_text (call, option);

  if (text == NULL || dwn_date_parse (text, date, error))
    return TRUE;
  g_prefix_error (error, "--%s: ", option);
  return FALSE;
}

GArray *
dwn_call_numbers (const DwnCall *call, const char *option, double min, double max, GError **error)
{
  const char *text = dwn_call_text (call, option);
  GArray *numbers = g_array_new (FALSE, FALSE, sizeof (double));
  g_auto (GStrv) items = g_strsplit (text != NULL ? text : "", ",", -1);

  for (char **item = items; *item != NULL; item++)
    {
      double value;

      if (!number_in_range (option, *item, min, max, &value, error))
        {
          g_array_unref (numbers);
          return NULL;
        }
      g_array_append_val (numbers, value);
    }
  return numbers;
}

static GOptionEntry
entry_for (DwnCall *call, int i)
{
  const DwnOption *option = &call->command->options[i];
  gboolean is_letter = option->name[1] == '\0';
  GOptionEntry entry = {
    .long_name = is_letter ? "output" : option->name,
    .short_name = is_letter ? option->name[0] : '\0',
    .arg_description = option->value,
  };

  switch (option->kind)
    {
    case DWN_OPTION_FLAG:
      entry.arg = G_OPTION_ARG_NONE;
      entry.arg_data = &call->flag[i];
      break;
    case DWN_OPTION_REPEATED:
      entry.arg = G_OPTION_ARG_STRING_ARRAY;
      entry.arg_data = &call->values[i];
      break;
    case DWN_OPTION_REQUIRED:
    case DWN_OPTION_OPTIONAL:
    default:
      entry.arg = G_OPTION_ARG_STRING;
      entry.arg_data = &call->value[i];
      break;
    }
  return entry;
}

static GOptionContext *
context_new (DwnCall *call)
{
  GOptionContext *context = g_option_context_new (call->command->arguments);
  GOptionEntry entries[DWN_MAX_OPTIONS + 3] = { 0 };
  int n = 0;

  for (; call->command->options[n].name != NULL; n++)
    entries[n] = entry_for (call, n);
  entries[n++] = (GOptionEntry) { "tsv", 0, 0, G_OPTION_ARG_NONE, &call->tsv,
                                  N_("Print a header and tab-separated rows, for scripts"), NULL };
  entries[n] = (GOptionEntry) { G_OPTION_REMAINING, 0, 0, G_OPTION_ARG_FILENAME_ARRAY,
                                &call->arguments, NULL, NULL };
  g_option_context_set_summary (context, _(call->command->summary));
  g_option_context_add_main_entries (context, entries, GETTEXT_PACKAGE);
  return context;
}

static gboolean
check_usage (const DwnCall *call, GError **error)
{
  const DwnCommand *command = call->command;
  guint n = call->arguments != NULL ? g_strv_length (call->arguments) : 0;

  for (int i = 0; command->options[i].name != NULL; i++)
    if (command->options[i].kind == DWN_OPTION_REQUIRED && call->value[i] == NULL)
      {
        dwn_call_usage (error, _("%s needs %s%s %s"), command->name,
                        command->options[i].name[1] == '\0' ? "-" : "--",
                        command->options[i].name, command->options[i].value);
        return FALSE;
      }
  if (n < command->min_arguments || n > command->max_arguments)
    {
      dwn_call_usage (error, _("%s takes %s"), command->name,
                      command->arguments != NULL ? command->arguments : _("no arguments"));
      return FALSE;
    }
  return TRUE;
}

/* GLib would print the help and exit by itself, and with 0 even where the output is full. */
static gboolean
wants_help (int argc, char **argv)
{
  static const char *const asking[] = { "--help", "--help-all", "-h", "-?", NULL };

  for (int i = 0; i < argc && !g_str_equal (argv[i], "--"); i++)
    if (g_strv_contains (asking, argv[i]))
      return TRUE;
  return FALSE;
}

static void
print_help (DwnCall *call)
{
  g_autoptr (GOptionContext) context = context_new (call);
  g_autofree char *usage = g_strconcat ("downlead-cli ", call->command->name, NULL);

  g_set_prgname (usage);
  g_autofree char *help = g_option_context_get_help (context, TRUE, NULL);
  fputs (help, stdout);
}

static gboolean
parse_call (DwnCall *call, int argc, char **argv, GError **error)
{
  g_autoptr (GOptionContext) context = context_new (call);
  g_autoptr (GError) reason = NULL;
  /* The parser moves pointers about; ours stay where they are. */
  g_autofree char **words = g_new0 (char *, (gsize) argc + 2);

  words[0] = (char *) call->command->name;
  for (int i = 0; i < argc; i++)
    words[i + 1] = argv[i];
  int n = argc + 1;
  char **list = words;
  if (!g_option_context_parse (context, &n, &list, &reason))
    {
      dwn_call_usage (error, "%s: %s", call->command->name, reason->message);
      return FALSE;
    }
  return check_usage (call, error);
}

static void
call_clear (DwnCall *call)
{
  for (int i = 0; i < DWN_MAX_OPTIONS; i++)
    {
      g_free (call->value[i]);
      g_strfreev (call->values[i]);
    }
  g_strfreev (call->arguments);
}

/* One line, whatever a library put into its message. */
static void
print_error (const GError *error)
{
  g_autofree char *line = g_strdelimit (g_strdup (error->message), "\n\r", ' ');

  dwn_warn (g_strstrip (line));
}

int
dwn_command_run (const DwnCommand *command, int argc, char **argv)
{
  static char *no_arguments[] = { NULL };
  g_autoptr (GError) error = NULL;
  DwnCall call = { .command = command };
  gboolean done = TRUE;

  if (wants_help (argc, argv))
    print_help (&call);
  else
    {
      done = parse_call (&call, argc, argv, &error);
      if (done && call.arguments == NULL)
        call.arguments = g_strdupv (no_arguments);
      done = done && command->run (&call, &error);
    }
  call_clear (&call);
  if (done && (fflush (stdout) == 0 && !ferror (stdout)))
    return EXIT_DONE;
  if (error == NULL)
    g_set_error_literal (&error, DWN_CALL_ERROR, DWN_CALL_ERROR_VALUE,
                         _("standard output cannot be written"));
  print_error (error);
  return g_error_matches (error, DWN_CALL_ERROR, DWN_CALL_ERROR_USAGE) ? EXIT_USAGE : EXIT_REFUSED;
}
