#include "app/application.h"
#include "words/wording.h"

int
main (int argc, char **argv)
{
  dwn_words_begin ();

  g_autoptr (DwnApplication) application = dwn_application_new ();
  return g_application_run (G_APPLICATION (application), argc, argv);
}
