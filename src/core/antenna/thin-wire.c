#include "core/antenna/thin-wire.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#define ANGLE_SLACK_DEG 0.005 /* listings print hundredths of a degree */

/* One row of a radiation pattern. */
typedef struct {
  double angle_deg; /* azimuth or elevation */
  double vertical_db, horizontal_db, total_db;
} Sample;

typedef struct {
  double mhz, resistance_ohm, reactance_ohm;
  GArray *horizon; /* (element-type Sample) by azimuth */
  GArray *over;    /* (element-type Sample) by elevation */
} Block;

typedef enum { COMPONENT_HORIZONTAL, COMPONENT_VERTICAL, COMPONENT_TOTAL } Component;

typedef enum { NOWHERE, IN_IMPEDANCE, IN_PATTERN } Place;

typedef struct {
  const char *file;
  guint line;
  Place place;
  gboolean has_row;     /* of the table that is being read */
  gboolean axes;        /* columns are major and minor axis */
  GPtrArray *blocks;    /* (element-type Block) */
  Block *block;         /* the frequency that is being read */
  gsize n_samples;
} Reader;

static Block *
block_new (double mhz)
{
  Block *self = g_new0 (Block, 1);

  self->mhz = mhz;
  self->resistance_ohm = self->reactance_ohm = (double) NAN;
  self->horizon = g_array_new (FALSE, FALSE, sizeof (Sample));
  self->over = g_array_new (FALSE, FALSE, sizeof (Sample));
  return self;
}

static void
block_free (gpointer data)
{
  Block *self = data;

  g_array_unref (self->horizon);
  g_array_unref (self->over);
  g_free (self);
}

static gboolean G_GNUC_PRINTF (4, 5)
refuse (const Reader *self, GError **error, DwnAntennaError code, const char *format, ...)
{
  va_list arguments;
  g_autofree char *text = NULL;

  va_start (arguments, format);
  text = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  if (self->line > 0)
    g_set_error (error, DWN_ANTENNA_ERROR, code, "%s:%u: %s", self->file, self->line, text);
  else
    g_set_error (error, DWN_ANTENNA_ERROR, code, "%s: %s", self->file, text);
  return FALSE;
}

static gboolean
contains (const char *line, const char *words)
{
  return strstr (line, words) != NULL;
}

/* "FREQUENCY : 4.7300E+02 MHz" or "FREQUENCY= 4.7300E+02 MHZ". */
static gboolean
frequency_of (const char *line, double *mhz)
{
  const char *at = strstr (line, "FREQUENCY");
  g_autofree char *copy = NULL;
  g_autoptr (GPtrArray) fields = NULL;

  if (at == NULL || !(contains (at, "MHZ") || contains (at, "MHz")))
    return FALSE;
  copy = g_strdup (at + strlen ("FREQUENCY"));
  fields = dwn_antenna_text_fields (copy, ":=");
  return fields->len >= 2 && dwn_antenna_text_number (g_ptr_array_index (fields, 0), mhz);
}

/* A listing may come back to a frequency for another cut. */
static gboolean
start_frequency (Reader *self, double mhz, GError **error)
{
  self->place = NOWHERE;
  for (guint i = 0; i < self->blocks->len; i++)
    {
      self->block = g_ptr_array_index (self->blocks, i);
      if (self->block->mhz == mhz)
        return TRUE;
    }
  if (self->blocks->len >= DWN_ANTENNA_MAX_FREQUENCIES)
    return refuse (self, error, DWN_ANTENNA_ERROR_RANGE, _("more than %d frequencies"),
                   DWN_ANTENNA_MAX_FREQUENCIES);
  self->block = block_new (mhz);
  g_ptr_array_add (self->blocks, self->block);
  return TRUE;
}

/* The first @n fields of @line as numbers; how many there were. */
static gsize
leading_numbers (const char *line, double *numbers, gsize n)
{
  g_autofree char *copy = g_strdup (line);
  g_autoptr (GPtrArray) fields = dwn_antenna_text_fields (copy, "*");
  gsize i = 0;

  while (i < n && i < fields->len
         && dwn_antenna_text_number (g_ptr_array_index (fields, i), &numbers[i]))
    i++;
  return i;
}

/* Tag, segment, voltage, current, impedance, each but the first two as a complex number. */
static void
read_impedance (Reader *self, const char *line)
{
  double numbers[8];

  if (leading_numbers (line, numbers, G_N_ELEMENTS (numbers)) < G_N_ELEMENTS (numbers))
    return;
  if (isnan (self->block->resistance_ohm))
    {
      self->block->resistance_ohm = numbers[6];
      self->block->reactance_ohm = numbers[7];
    }
  self->place = NOWHERE;
}

static gboolean
append_sample (Reader *self, GArray *samples, double angle_deg, const double *row, GError **error)
{
  const Sample sample = { angle_deg, row[2], row[3], row[4] };

  if (++self->n_samples > DWN_ANTENNA_MAX_VALUES || samples->len >= DWN_ANTENNA_MAX_VALUES)
    return refuse (self, error, DWN_ANTENNA_ERROR_RANGE, _("more than %d pattern rows"),
                   DWN_ANTENNA_MAX_VALUES);
  g_array_append_val (samples, sample);
  return TRUE;
}

static double
azimuth_of_phi (double phi_deg)
{
  double azimuth_deg = -phi_deg - 360.0 * floor (-phi_deg / 360.0);

  return azimuth_deg < 360.0 - ANGLE_SLACK_DEG ? azimuth_deg : 0.0;
}

static gboolean
read_pattern_row (Reader *self, const char *line, GError **error)
{
  double row[5];
  gsize n = leading_numbers (line, row, G_N_ELEMENTS (row));

  if (n == 0)
    {
      if (self->has_row)
        self->place = NOWHERE;
      return TRUE;
    }
  if (n < G_N_ELEMENTS (row))
    return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                   _("a pattern row needs theta, phi and three gains, with blanks between"));
  self->has_row = TRUE;
  if (fabs (row[0] - 90.0) < ANGLE_SLACK_DEG
      && !append_sample (self, self->block->horizon, azimuth_of_phi (row[1]), row, error))
    return FALSE;
  if (fabs (row[1]) < ANGLE_SLACK_DEG && row[0] >= 0.0 && row[0] <= 180.0)
    return append_sample (self, self->block->over, 90.0 - row[0], row, error);
  return TRUE;
}

static gboolean
read_line (Reader *self, const char *line, GError **error)
{
  double mhz;

  if (frequency_of (line, &mhz))
    return start_frequency (self, mhz, error);
  if (contains (line, "ANTENNA INPUT PARAMETERS") || contains (line, "RADIATION PATTERN"))
    {
      if (self->block == NULL)
        return refuse (self, error, DWN_ANTENNA_ERROR_MISSING,
                       _("a table stands before the first line FREQUENCY"));
      self->place = contains (line, "RADIATION PATTERN") ? IN_PATTERN : IN_IMPEDANCE;
      self->has_row = FALSE;
      return TRUE;
    }
  if (self->place == IN_IMPEDANCE)
    read_impedance (self, line);
  if (self->place == IN_PATTERN && contains (line, "MAJOR"))
    self->axes = TRUE;
  if (self->place == IN_PATTERN)
    return read_pattern_row (self, line, error);
  return TRUE;
}

static int
compare_samples (gconstpointer a, gconstpointer b)
{
  double left = ((const Sample *) a)->angle_deg, right = ((const Sample *) b)->angle_deg;

  return (left > right) - (left < right);
}

/* phi 0 and 360 are one azimuth; a cut may be printed twice. */
static void
sort_and_merge (GArray *samples)
{
  Sample *sample = (Sample *) (gpointer) samples->data;
  guint kept = 0;

  g_array_sort (samples, compare_samples);
  for (guint i = 0; i < samples->len; i++)
    if (kept == 0 || sample[i].angle_deg - sample[kept - 1].angle_deg > ANGLE_SLACK_DEG)
      sample[kept++] = sample[i];
  g_array_set_size (samples, kept);
}

static int
compare_blocks (gconstpointer a, gconstpointer b)
{
  double left = (*(Block *const *) a)->mhz, right = (*(Block *const *) b)->mhz;

  return (left > right) - (left < right);
}

static gboolean
same_angles (const GArray *a, const GArray *b)
{
  if (a->len != b->len)
    return FALSE;
  for (guint i = 0; i < a->len; i++)
    if (g_array_index (a, Sample, i).angle_deg != g_array_index (b, Sample, i).angle_deg)
      return FALSE;
  return TRUE;
}

static gboolean
check_blocks (Reader *self, GError **error)
{
  const Block *first;

  self->line = 0;
  for (guint i = 0; i < self->blocks->len; i++)
    {
      Block *block = g_ptr_array_index (self->blocks, i);

      sort_and_merge (block->horizon);
      sort_and_merge (block->over);
    }
  if (self->blocks->len == 0)
    return refuse (self, error, DWN_ANTENNA_ERROR_MISSING, _("no line FREQUENCY in the listing"));
  g_ptr_array_sort (self->blocks, compare_blocks);
  first = g_ptr_array_index (self->blocks, 0);
  if (first->horizon->len == 0 || first->horizon->len > DWN_ANTENNA_MAX_ANGLES)
    return refuse (self, error, DWN_ANTENNA_ERROR_MISSING,
                   _("no radiation pattern at theta 90; add RP 0 1 73 1000 90 0 0 5 to the deck"));
  for (guint i = 1; i < self->blocks->len; i++)
    {
      const Block *block = g_ptr_array_index (self->blocks, i);

      if (!same_angles (first->horizon, block->horizon) || !same_angles (first->over, block->over))
        return refuse (self, error, DWN_ANTENNA_ERROR_SYNTAX,
                       _("the patterns at %g and %g MHz are not at the same angles"),
                       first->mhz, block->mhz);
    }
  return TRUE;
}

/* The horizon's sample at azimuth 0, or the first one. */
static Component
component_of (const Reader *self, GPtrArray *warnings)
{
  const Block *first = g_ptr_array_index (self->blocks, 0);
  const Sample *ahead = &g_array_index (first->horizon, Sample, 0);
  Component component = ahead->vertical_db > ahead->horizontal_db ? COMPONENT_VERTICAL
                                                                  : COMPONENT_HORIZONTAL;

  if (self->axes)
    component = COMPONENT_TOTAL;
  if (warnings != NULL && component != COMPONENT_HORIZONTAL)
    g_ptr_array_add (warnings, g_strdup_printf (component == COMPONENT_VERTICAL
                                                    ? _("%s: taken as vertically polarised")
                                                    : _("%s: gain of both polarisations together"),
                                                self->file));
  return component;
}

static double
gain_of (const Sample *sample, Component component)
{
  const double by_component[] = { sample->horizontal_db, sample->vertical_db, sample->total_db };

  return MAX (by_component[component], DWN_THIN_WIRE_FLOOR_DBI);
}

static double *
angles_of (const GArray *samples)
{
  double *angles = g_new (double, samples->len + 1);

  for (guint i = 0; i < samples->len; i++)
    angles[i] = g_array_index (samples, Sample, i).angle_deg;
  return angles;
}

/* All blocks' gains one behind the other, less @reference_dbi of each block where there is one. */
static double *
gains_of (const Reader *self, gboolean over, Component component, const double *reference_dbi)
{
  const Block *first = g_ptr_array_index (self->blocks, 0);
  guint n = over ? first->over->len : first->horizon->len;
  double *gains = g_new (double, (gsize) n * self->blocks->len + 1);

  for (guint f = 0; f < self->blocks->len; f++)
    {
      const Block *block = g_ptr_array_index (self->blocks, f);
      const GArray *samples = over ? block->over : block->horizon;

      for (guint i = 0; i < n; i++)
        gains[(gsize) f * n + i] = gain_of (&g_array_index (samples, Sample, i), component)
                                   - (reference_dbi != NULL ? reference_dbi[f] : 0.0);
    }
  return gains;
}

/* Of each frequency, the gain at azimuth 0. */
static double *
ahead_of (const Reader *self, Component component)
{
  double *ahead_dbi = g_new (double, self->blocks->len);

  for (guint f = 0; f < self->blocks->len; f++)
    {
      const Block *block = g_ptr_array_index (self->blocks, f);

      ahead_dbi[f] = gain_of (&g_array_index (block->horizon, Sample, 0), component);
    }
  return ahead_dbi;
}

static DwnPattern *
pattern_of (const Reader *self, const double *mhz, const double *mismatch_db,
            GPtrArray *warnings, GError **error)
{
  const Block *first = g_ptr_array_index (self->blocks, 0);
  Component component = component_of (self, warnings);
  g_autofree double *azimuth_deg = angles_of (first->horizon);
  g_autofree double *elevation_deg = angles_of (first->over);
  g_autofree double *ahead_dbi = ahead_of (self, component);
  g_autofree double *gain_dbi = gains_of (self, FALSE, component, NULL);
  g_autofree double *elevation_db = gains_of (self, TRUE, component, ahead_dbi);
  g_autofree char *base = g_path_get_basename (self->file);
  g_autofree char *id = dwn_antenna_id_of_file (self->file);
  const DwnPattern values = {
    .id = id, .name = base, .source = _("thin-wire model"), .price = (double) NAN,
    .n_mhz = self->blocks->len, .mhz = mhz,
    .n_azimuth = first->horizon->len, .azimuth_deg = azimuth_deg, .gain_dbi = gain_dbi,
    .n_elevation = first->over->len, .elevation_deg = elevation_deg,
    .elevation_db = elevation_db, .mismatch_db = mismatch_db,
  };

  return dwn_pattern_new (&values, error);
}

static double
mismatch_of (const Block *block, double line_ohm)
{
  double loss_db = dwn_mismatch_loss_db (block->resistance_ohm, block->reactance_ohm, line_ohm);

  if (isnan (block->resistance_ohm))
    return (double) NAN;
  /* Far off resonance the resistance may be lost in the rounding, and the loss with it. */
  return loss_db < DWN_THIN_WIRE_MOST_MISMATCH_DB ? MAX (loss_db, 0.0)
                                                  : DWN_THIN_WIRE_MOST_MISMATCH_DB;
}

/* An antenna fits its line at some frequency of its deck: of the trade's two lines the one that
 * comes nearest. */
static double
fitting_line_ohm (const Reader *self, GPtrArray *warnings)
{
  double least_75_db = DWN_THIN_WIRE_MOST_MISMATCH_DB, least_300_db = least_75_db;
  double line_ohm;

  for (guint f = 0; f < self->blocks->len; f++)
    {
      const Block *block = g_ptr_array_index (self->blocks, f);

      if (isnan (block->resistance_ohm))
        return (double) NAN;
      least_75_db = MIN (least_75_db, mismatch_of (block, 75.0));
      least_300_db = MIN (least_300_db, mismatch_of (block, 300.0));
    }
  line_ohm = least_75_db <= least_300_db ? 75.0 : 300.0;
  if (warnings != NULL)
    g_ptr_array_add (warnings, g_strdup_printf (_("%s: taken to feed a line of %g Ω"), self->file,
                                                line_ohm));
  return line_ohm;
}

static DwnAntenna *
antenna_of (const Reader *self, double feed_ohm, GPtrArray *warnings, GError **error)
{
  guint n = self->blocks->len;
  g_autofree double *mhz = g_new (double, n);
  g_autofree double *resistance_ohm = g_new (double, n);
  g_autofree double *reactance_ohm = g_new (double, n);
  g_autofree double *mismatch_db = g_new (double, n);
  g_autoptr (DwnPattern) pattern = NULL;

  if (isnan (feed_ohm))
    feed_ohm = fitting_line_ohm (self, warnings);
  for (guint f = 0; f < n; f++)
    {
      const Block *block = g_ptr_array_index (self->blocks, f);

      mhz[f] = block->mhz;
      resistance_ohm[f] = block->resistance_ohm;
      reactance_ohm[f] = block->reactance_ohm;
      mismatch_db[f] = mismatch_of (block, feed_ohm);
    }
  pattern = pattern_of (self, mhz, mismatch_db, warnings, error);
  if (pattern == NULL)
    {
      g_prefix_error (error, "%s: ", self->file);
      return NULL;
    }
  return dwn_antenna_new (&(DwnAntenna){ pattern, feed_ohm, (double) NAN, resistance_ohm,
                                         reactance_ohm });
}

gboolean
dwn_thin_wire_is_listing (const char *text)
{
  g_return_val_if_fail (text != NULL, FALSE);

  return contains (text, "NUMERICAL ELECTROMAGNETICS CODE")
         || contains (text, "STRUCTURE SPECIFICATION");
}

DwnAntenna *
dwn_thin_wire_parse (GBytes *bytes, const char *file, double feed_ohm, GPtrArray *warnings,
                     GError **error)
{
  g_auto (GStrv) lines = NULL;
  g_autoptr (GPtrArray) blocks = g_ptr_array_new_with_free_func (block_free);
  Reader reader = { .file = file, .blocks = blocks };

  g_return_val_if_fail (bytes != NULL && file != NULL, NULL);

  lines = dwn_antenna_text_lines (bytes, file, error);
  if (lines == NULL)
    return NULL;
  for (gsize i = 0; lines[i] != NULL; i++)
    {
      reader.line = (guint) i + 1;
      if (!read_line (&reader, lines[i], error))
        return NULL;
    }
  return check_blocks (&reader, error) ? antenna_of (&reader, feed_ohm, warnings, error) : NULL;
}
