/* downlead-cli: every sum without a display. */
#include <glib/gi18n.h>
#include <stdio.h>
#include <string.h>

#include "cli/call.h"
#include "config.h"
#include "words/wording.h"

static const DwnCommand *const commands[] = {
  &dwn_command_bearing,
  &dwn_command_declination,
  &dwn_command_sun,
  &dwn_command_channel,
  &dwn_command_curve,
  &dwn_command_path,
  &dwn_command_profile,
  &dwn_command_skyline,
  &dwn_command_pattern,
  &dwn_command_import,
  &dwn_command_new_plan,
  &dwn_command_chain,
  &dwn_command_budget,
  &dwn_command_advise,
  &dwn_command_explain,
  &dwn_command_check,
  &dwn_command_learn,
  &dwn_command_readings,
  &dwn_command_symptoms,
  &dwn_command_scan,
  &dwn_command_draw,
  &dwn_command_sheet,
  &dwn_command_customer,
};

static void
print_help (FILE *to)
{
  fprintf (to, _("Usage: downlead-cli COMMAND [OPTIONS]\n\n"));
  for (gsize i = 0; i < G_N_ELEMENTS (commands); i++)
    fprintf (to, "  %-12s %s\n", commands[i]->name, _(commands[i]->summary));
  fprintf (to, _("\n`downlead-cli COMMAND --help` tells a command's options.\n"));
}

static const DwnCommand *
find_command (const char *name)
{
  for (gsize i = 0; i < G_N_ELEMENTS (commands); i++)
    if (g_str_equal (commands[i]->name, name))
      return commands[i];
  return NULL;
}

/* What was printed may have met a full disk; only flushing tells. */
static int
finish_output (void)
{
  if (fflush (stdout) == 0 && !ferror (stdout))
    return 0;
  dwn_warn (_("standard output cannot be written"));
  return 1;
}

int
main (int argc, char **argv)
{
  dwn_words_begin ();

  if (argc < 2)
    {
      print_help (stderr);
      return 2;
    }
  if (g_str_equal (argv[1], "--help") || g_str_equal (argv[1], "-h"))
    {
      print_help (stdout);
      return finish_output ();
    }
  if (g_str_equal (argv[1], "--version"))
    {
      printf ("downlead-cli %s\n", DWN_VERSION);
      return finish_output ();
    }

  const DwnCommand *command = find_command (argv[1]);
  if (command == NULL)
    {
      g_autofree char *text = g_strdup_printf (_("there is no command “%s”; --help lists them"), argv[1]);
      dwn_warn (text);
      return 2;
    }
  return dwn_command_run (command, argc - 2, argv + 2);
}
