#include <glib/gi18n.h>
#include <locale.h>

#include "app/application.h"
#include "config.h"

int
main (int argc, char **argv)
{
  setlocale (LC_ALL, "");
  bindtextdomain (GETTEXT_PACKAGE, DWN_LOCALE_DIR);
  bind_textdomain_codeset (GETTEXT_PACKAGE, "UTF-8");
  textdomain (GETTEXT_PACKAGE);

  g_autoptr (DwnApplication) application = dwn_application_new ();
  return g_application_run (G_APPLICATION (application), argc, argv);
}
