/* A small house for tests: three masts, one antenna, an amplifier, two outlets. Invented. */
#pragma once

#include "core/plan/document.h"
#include "core/study/readings.h"

/* What a test needs of a plan: opened from XML, fields predicted. */
typedef struct {
  DwnTables *tables;
  DwnPlan *plan;
  DwnFields *fields; /* as predicted, without readings */
} Example;

#define EXAMPLE_STATIONS                                                                              \
  "<services><service id='s' name='S' wanted='must'/></services><stations>"                           \
  "<station id='north' name='North' system='atsc1' rf='20' lat='44.4' lon='-75' erp-kw='100'"         \
  " haat-m='300' services='s'/>"                                                                      \
  "<station id='north-vhf' name='North VHF' system='atsc1' rf='8' lat='44.4' lon='-75' erp-kw='20'"   \
  " haat-m='300' services='s'/>"                                                                      \
  "<station id='north-top' name='North top' system='atsc1' rf='35' lat='44.4' lon='-75' erp-kw='200'" \
  " haat-m='300' services='s'/>"                                                                      \
  "<station id='north-east' name='North-east' system='atsc1' rf='28' lat='44.3' lon='-74.8'"          \
  " erp-kw='50' haat-m='250' services='s'/>"                                                          \
  "<station id='north-west' name='North-west' system='atsc1' rf='16' lat='44.35' lon='-75.2'"         \
  " erp-kw='60' haat-m='280' services='s'/>"                                                          \
  "</stations>"

#define EXAMPLE_GEAR                                                                            \
  "<gear><part id='a' kind='antenna' type='lpda-high-vhf-uhf' on-mast='yes' polarisation='h'"   \
  " aim-deg='5'/>"                                                                              \
  "<part id='amp' kind='amplifier' type='mast-amp-20-2' on-mast='yes'/>"                        \
  "<part id='supply' kind='inserter' type='inserter-5'/>"                                      \
  "<part id='split' kind='splitter' type='splitter-2'/>"                                        \
  "<part id='tv1' kind='outlet' type='tuner-atsc'/><part id='tv2' kind='outlet' type='tuner-atsc'/>" \
  "<join from='a' to='amp'/><join from='amp' to='supply' cable='series-6' length-m='20'/>"      \
  "<join from='supply' to='split'/>"                                                            \
  "<join from='split' from-port='1' to='tv1' cable='series-6' length-m='8'/>"                   \
  "<join from='split' from-port='2' to='tv2' cable='series-6' length-m='14'/></gear>"

/* @site: the attributes and children of <site> besides its place. */
static inline void
example_open (Example *example, const char *site, const char *gear, const char *readings)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *text = g_strdup_printf (
    "<downlead version='1.0'><site name='Test' lat='44' lon='-75' %s</site>%s%s"
    "<readings>%s</readings></downlead>", site, EXAMPLE_STATIONS, gear, readings);
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));

  example->tables = dwn_tables_new (&error);
  g_assert_no_error (error);
  example->plan = dwn_plan_read (bytes, "example", example->tables->parts, example->tables->catalogue,
                                 NULL, &error);
  g_assert_no_error (error);
  example->fields = dwn_fields_new (example->plan, NULL, &error);
  g_assert_no_error (error);
}

static inline void
example_close (Example *example)
{
  dwn_fields_unref (example->fields);
  dwn_plan_unref (example->plan);
  dwn_tables_unref (example->tables);
}
