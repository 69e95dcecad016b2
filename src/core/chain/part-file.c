/* Reader of the parts file. Its format is explained at the head of data/chain/parts.ini. */
#include "core/chain/part-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "core/data/ini.h"

#define MAX_BYTES (1024 * 1024)
#define MAX_TYPES 1024
#define MAX_NODES 64
#define MAX_MHZ 10000.0
#define MAX_CARRIER_MHZ 6000.0
#define PASSIVE_SLACK 1e-9

/* The group that is being read. */
typedef struct {
  const DwnIni *ini;
  const char *group;
  DwnPartList *list;
  GError **error;
} Reader;

/* A number of a type: its key, where it goes, what is allowed. */
typedef struct {
  const char *key;
  gsize offset;
  double min, max;
} Field;

static const Field part_field[] = {
  { "max-input-dbm", G_STRUCT_OFFSET (DwnPartType, max_input_dbm), -100, 60 },
  { "max-output-dbm", G_STRUCT_OFFSET (DwnPartType, max_output_dbm), -100, 60 },
  { "oip2-dbm", G_STRUCT_OFFSET (DwnPartType, oip2_dbm), -50, 120 },
  { "oip3-dbm", G_STRUCT_OFFSET (DwnPartType, oip3_dbm), -50, 100 },
  { "sensitivity-dbm", G_STRUCT_OFFSET (DwnPartType, sensitivity_dbm), -150, 0 },
  { "unpowered-loss-db", G_STRUCT_OFFSET (DwnPartType, unpowered_loss_db), 0, 150 },
  { "isolation-db", G_STRUCT_OFFSET (DwnPartType, isolation_db), 0, 150 },
  { "return-loss-db", G_STRUCT_OFFSET (DwnPartType, return_loss_db), 0, 60 },
  { "volts", G_STRUCT_OFFSET (DwnPartType, volts), 1, 60 },
  { "milliamps", G_STRUCT_OFFSET (DwnPartType, milliamps), 1, 10000 },
  { "stop-db", G_STRUCT_OFFSET (DwnPartType, stop_db), -150, 0 },
  { "edge-mhz", G_STRUCT_OFFSET (DwnPartType, edge_mhz), 0.1, 500 },
  { "price", G_STRUCT_OFFSET (DwnPartType, price), 0, 1e6 },
};

static const Field part_pair[] = {
  { "range-db", G_STRUCT_OFFSET (DwnPartType, range_min_db), -150, 100 },
  { "level-dbm", G_STRUCT_OFFSET (DwnPartType, level_min_dbm), -150, 30 },
};
/* A pair's second number follows its first. */
G_STATIC_ASSERT (G_STRUCT_OFFSET (DwnPartType, range_max_db)
                 == G_STRUCT_OFFSET (DwnPartType, range_min_db) + sizeof (double));
G_STATIC_ASSERT (G_STRUCT_OFFSET (DwnPartType, level_max_dbm)
                 == G_STRUCT_OFFSET (DwnPartType, level_min_dbm) + sizeof (double));

static const Field cable_field[] = {
  { "a", G_STRUCT_OFFSET (DwnCableType, a), 0, 100 },
  { "b", G_STRUCT_OFFSET (DwnCableType, b), 0, 10 },
  { "temperature-per-k", G_STRUCT_OFFSET (DwnCableType, temperature_per_k), 0, 0.02 },
  { "age-per-year", G_STRUCT_OFFSET (DwnCableType, age_per_year), 0, 1 },
  { "price-per-m", G_STRUCT_OFFSET (DwnCableType, price_per_m), 0, 1e6 },
};

/* How many ports a kind has. */
typedef struct {
  guint min_in, max_in, min_out, max_out;
} Ports;

static const Ports kind_ports[DWN_N_PART_KINDS] = {
  [DWN_PART_BALUN] = { 1, 1, 1, 1 },
  [DWN_PART_FILTER] = { 1, 1, 1, 1 },
  [DWN_PART_COMBINER] = { 2, DWN_MAX_PORTS, 1, 1 },
  [DWN_PART_AMPLIFIER] = { 1, DWN_MAX_PORTS, 1, DWN_MAX_PORTS },
  [DWN_PART_INSERTER] = { 1, 1, 1, 1 },
  [DWN_PART_SURGE] = { 1, 1, 1, 1 },
  [DWN_PART_SPLITTER] = { 1, 1, 2, DWN_MAX_PORTS },
  [DWN_PART_TAP] = { 1, 1, 2, 2 },
  [DWN_PART_ATTENUATOR] = { 1, 1, 1, 1 },
  [DWN_PART_EQUALISER] = { 1, 1, 1, 1 },
  [DWN_PART_PLATE] = { 1, 1, 1, 1 },
  [DWN_PART_JOINT] = { 1, 1, 1, 1 },
  [DWN_PART_SWITCH] = { 2, DWN_MAX_PORTS, 1, 1 },
  [DWN_PART_OUTLET] = { 1, 2, 0, 0 },
};

static const char *const dc_word[] = {
  [DWN_DC_BLOCK] = "block",
  [DWN_DC_PASS] = "pass",
  [DWN_DC_NEED] = "need",
  [DWN_DC_INJECT] = "inject",
  [DWN_DC_SHORT] = "short",
};

/* Those that are read one by one, beside the tables above. */
static const char *const part_key[] = {
  "kind", "name", "source", "from-memory", "inputs", "outputs", "gain", "noise-figure", "dc-in",
  "dc-out", "hybrid", "shared", "systems", "tuners", "records",
};
static const char *const cable_key[] = { "name", "source", "from-memory" };
static const char *const carriers_key[] = { "name", "source", "from-memory", "mhz", "field-dbuv-m" };

/* Values */

static gboolean
refuse (Reader *reader, const char *key, const char *what)
{
  dwn_ini_refuse (reader->ini, reader->group, key, reader->error, "%s", what);
  return FALSE;
}

gboolean
dwn_part_parse_number (const char *text, double *value)
{
  char *end;

  *value = g_ascii_strtod (text, &end);
  while (g_ascii_isspace (*end))
    end++;
  return end != text && *end == '\0' && isfinite (*value);
}

static gboolean
read_number (Reader *reader, const char *key, const char *text, double min, double max,
             double *value)
{
  if (!dwn_part_parse_number (text, value))
    dwn_ini_refuse (reader->ini, reader->group, key, reader->error,
                    _("“%.40s” is not a number such as -3.5"), text);
  else if (*value < min || *value > max)
    dwn_ini_refuse (reader->ini, reader->group, key, reader->error, _("%g is outside %g to %g"),
                    *value, min, max);
  else
    return TRUE;
  return FALSE;
}

static gboolean
read_fields (Reader *reader, const Field *field, guint n, gpointer type)
{
  for (guint k = 0; k < n; k++)
    if (!dwn_ini_optional_number (reader->ini, reader->group, field[k].key, field[k].min,
                                  field[k].max, G_STRUCT_MEMBER_P (type, field[k].offset),
                                  reader->error))
      return FALSE;
  return TRUE;
}

static gboolean
read_pairs (Reader *reader, DwnPartType *type)
{
  for (guint k = 0; k < G_N_ELEMENTS (part_pair); k++)
    {
      const Field *field = &part_pair[k];
      double *value = G_STRUCT_MEMBER_P (type, field->offset);

      value[0] = value[1] = (double) NAN;
      if (!dwn_ini_has (reader->ini, reader->group, field->key))
        continue;
      g_autoptr (GArray) pair = dwn_ini_numbers (reader->ini, reader->group, field->key, field->min,
                                                 field->max, reader->error);
      if (pair == NULL)
        return FALSE;
      if (pair->len != 2 || g_array_index (pair, double, 0) > g_array_index (pair, double, 1))
        return refuse (reader, field->key, _("two numbers are needed, the smaller one first"));
      memcpy (value, pair->data, 2 * sizeof *value);
    }
  return TRUE;
}

/* "54:-3.5", or "-3.5" where @alone. */
static gboolean
read_node (Reader *reader, const char *key, char *text, gboolean alone, double *mhz, double *db)
{
  char *colon = strchr (text, ':');

  if (colon == NULL && !alone)
    {
      dwn_ini_refuse (reader->ini, reader->group, key, reader->error,
                      _("“%.40s” is not a pair MHz:dB"), text);
      return FALSE;
    }
  *mhz = 0;
  if (colon != NULL)
    {
      *colon = '\0';
      if (!read_number (reader, key, text, 0, MAX_MHZ, mhz))
        return FALSE;
    }
  return read_number (reader, key, colon != NULL ? colon + 1 : text, -150, 100, db);
}

static gboolean
read_response (Reader *reader, const char *key, DwnResponse *response)
{
  g_auto (GStrv) word = g_strsplit (dwn_ini_peek (reader->ini, reader->group, key), ",",
                                    MAX_NODES + 1);
  guint n = g_strv_length (word);

  if (n == 0 || n > MAX_NODES)
    {
      dwn_ini_refuse (reader->ini, reader->group, key, reader->error,
                      _("1 to %d figures are needed"), MAX_NODES);
      return FALSE;
    }
  double *mhz = g_new (double, 2 * (gsize) n);
  double *db = mhz + n;
  g_ptr_array_add (reader->list->blocks, mhz);
  for (guint k = 0; k < n; k++)
    {
      if (!read_node (reader, key, word[k], n == 1, &mhz[k], &db[k]))
        return FALSE;
      if (k > 0 && mhz[k] <= mhz[k - 1])
        return refuse (reader, key, _("frequencies must rise"));
    }
  *response = (DwnResponse) { .n = n, .mhz = mhz, .db = db };
  return TRUE;
}

static gboolean
read_text (Reader *reader, const char *key, const char **text)
{
  const char *value = dwn_ini_string (reader->ini, reader->group, key, reader->error);

  if (value == NULL)
    return FALSE;
  *text = g_string_chunk_insert (reader->list->text, value);
  return TRUE;
}

/* What a person reads of an entry, and where its figures are from. */
static gboolean
read_origin (Reader *reader, const char **name, const char **source, gboolean *from_memory)
{
  return read_text (reader, "name", name) && read_text (reader, "source", source)
         && dwn_ini_flag (reader->ini, reader->group, "from-memory", from_memory, reader->error);
}

/* Takes @entry into the list and the index of its kind. @id: kept by the list. */
static void
keep_entry (GPtrArray *list, GHashTable *by_id, const char *id, gpointer entry)
{
  g_ptr_array_add (list, entry);
  g_hash_table_insert (by_id, (char *) id, entry);
}

static gboolean
is_field (const char *key, const Field *field, guint n)
{
  for (guint k = 0; k < n; k++)
    if (strcmp (field[k].key, key) == 0)
      return TRUE;
  return FALSE;
}

static gboolean
is_word (const char *key, const char *const *word, guint n)
{
  for (guint k = 0; k < n; k++)
    if (strcmp (word[k], key) == 0)
      return TRUE;
  return FALSE;
}

/* "gain-in-2" where the type has that port. */
static gboolean
is_port_gain (const char *key, const char *prefix, guint n_ports)
{
  if (!g_str_has_prefix (key, prefix))
    return FALSE;
  const char *port = key + strlen (prefix);
  return port[0] >= '1' && port[0] < '1' + (int) n_ports && port[1] == '\0';
}

static gboolean
is_part_key (const char *key, const DwnPartType *type)
{
  return is_word (key, part_key, G_N_ELEMENTS (part_key))
         || is_field (key, part_field, G_N_ELEMENTS (part_field))
         || is_field (key, part_pair, G_N_ELEMENTS (part_pair))
         || is_port_gain (key, "gain-in-", type->n_in)
         || is_port_gain (key, "gain-out-", type->n_out);
}

static gboolean
is_cable_key (const char *key)
{
  return is_word (key, cable_key, G_N_ELEMENTS (cable_key))
         || is_field (key, cable_field, G_N_ELEMENTS (cable_field));
}

static gboolean
is_carriers_key (const char *key)
{
  return is_word (key, carriers_key, G_N_ELEMENTS (carriers_key));
}

/* A key with a slip in it would otherwise do nothing and say nothing. @is_key: where @type is NULL. */
static gboolean
check_keys (Reader *reader, const DwnPartType *type, gboolean (*is_key) (const char *key))
{
  g_autoptr (GPtrArray) keys = dwn_ini_keys (reader->ini, reader->group);

  for (guint k = 0; k < keys->len; k++)
    {
      const char *key = g_ptr_array_index (keys, k);

      if (!(type != NULL ? is_part_key (key, type) : is_key (key)))
        return refuse (reader, key, _("there is no such key here; the head of the program's own "
                                      "parts.ini lists them"));
    }
  return TRUE;
}

/* Parts */

static gboolean
read_ports (Reader *reader, const char *key, guint min, guint max, guint *n)
{
  double value = max == 0 ? 0 : 1;

  if (dwn_ini_has (reader->ini, reader->group, key)
      && !dwn_ini_number (reader->ini, reader->group, key, min, max, &value, reader->error))
    return FALSE;
  *n = (guint) value;
  if (value == *n && *n >= min)
    return TRUE;
  dwn_ini_refuse (reader->ini, reader->group, NULL, reader->error,
                  _("%s is a whole number of at least %u for this kind"), key, min);
  return FALSE;
}

static gboolean
read_kind (Reader *reader, DwnPartType *type)
{
  const char *kind;

  if (!read_text (reader, "kind", &kind))
    return FALSE;
  if (!dwn_part_kind_from_id (kind, &type->kind) || type->kind == DWN_PART_ANTENNA)
    return refuse (reader, "kind", _("no such kind of part; the head of the program's own "
                                     "parts.ini lists them"));

  const Ports *ports = &kind_ports[type->kind];
  type->active = type->kind == DWN_PART_AMPLIFIER || type->kind == DWN_PART_OUTLET;
  return read_ports (reader, "inputs", ports->min_in, ports->max_in, &type->n_in)
         && read_ports (reader, "outputs", ports->min_out, ports->max_out, &type->n_out);
}

static gboolean
read_shared (Reader *reader, DwnPartType *type)
{
  const char *text = dwn_ini_peek (reader->ini, reader->group, "shared");

  if (text == NULL)
    return TRUE;
  if (strcmp (text, "feed") == 0)
    type->shared = DWN_SHARED_FEED;
  else if (strcmp (text, "network") == 0)
    type->shared = DWN_SHARED_NETWORK;
  else
    return refuse (reader, "shared", _("the words are feed and network"));
  return TRUE;
}

/* "atsc1, atsc3" */
static gboolean
read_systems (Reader *reader, DwnPartType *type)
{
  g_auto (GStrv) word = g_strsplit (dwn_ini_has (reader->ini, reader->group, "systems")
                                    ? dwn_ini_peek (reader->ini, reader->group, "systems") : "",
                                    ",", DWN_N_SYSTEMS + 1);

  for (char **id = word; *id != NULL; id++)
    {
      g_autoptr (GError) why = NULL;
      DwnSystem system;

      if (!dwn_system_from_id (g_strstrip (*id), &system, &why))
        return refuse (reader, "systems", why->message);
      type->systems |= 1u << system;
    }
  return TRUE;
}

/* What tuners and parts on shared coax have besides. */
static gboolean
read_uses (Reader *reader, DwnPartType *type)
{
  double tuners = 1;

  if (dwn_ini_has (reader->ini, reader->group, "tuners")
      && !dwn_ini_number (reader->ini, reader->group, "tuners", 1, 64, &tuners, reader->error))
    return FALSE;
  type->tuners = (guint) tuners;
  return read_shared (reader, type) && read_systems (reader, type)
         && dwn_ini_flag (reader->ini, reader->group, "records", &type->records, reader->error);
}

/* A port below 0 stands for all. */
static gboolean
read_gain (Reader *reader, DwnPartType *type, const char *key, int in, int out)
{
  DwnResponse response;

  if (!dwn_ini_has (reader->ini, reader->group, key))
    return TRUE;
  if (!read_response (reader, key, &response))
    return FALSE;
  for (guint i = 0; i < type->n_in; i++)
    for (guint o = 0; o < type->n_out; o++)
      if ((in < 0 || in == (int) i) && (out < 0 || out == (int) o))
        type->gain[i][o] = response;
  return TRUE;
}

static gboolean
read_gains (Reader *reader, DwnPartType *type)
{
  if (!read_gain (reader, type, "gain", -1, -1))
    return FALSE;
  for (int port = 0; port < DWN_MAX_PORTS; port++)
    {
      g_autofree char *in = g_strdup_printf ("gain-in-%d", port + 1);
      g_autofree char *out = g_strdup_printf ("gain-out-%d", port + 1);

      if (!read_gain (reader, type, in, port, -1) || !read_gain (reader, type, out, -1, port))
        return FALSE;
    }
  return TRUE;
}

static gboolean
read_dc (Reader *reader, const char *key, guint n_ports, DwnDc *dc)
{
  const char *text = dwn_ini_peek (reader->ini, reader->group, key);

  if (text == NULL)
    return TRUE; /* blocked everywhere */
  g_auto (GStrv) word = g_strsplit (text, ",", DWN_MAX_PORTS + 1);
  guint n = g_strv_length (word);
  if (n_ports == 0 || (n != 1 && n != n_ports))
    return refuse (reader, key, _("one word is needed for all ports, or one for each"));
  for (guint p = 0; p < n_ports; p++)
    {
      const char *what = g_strstrip (word[n == 1 ? 0 : p]);
      guint k = 0;

      while (k < G_N_ELEMENTS (dc_word) && strcmp (dc_word[k], what) != 0)
        k++;
      if (k == G_N_ELEMENTS (dc_word))
        return refuse (reader, key, _("the words are block, pass, need, inject and short"));
      dc[p] = (DwnDc) k;
    }
  return TRUE;
}

static gboolean
is_channel_filter (const DwnPartType *type)
{
  return !isnan (type->edge_mhz);
}

/* Power that leaves a passive part at @mhz: through all outputs for one input, or through one
 * output for all inputs. */
static double
power_sum (const DwnPartType *type, gboolean over_inputs, guint port, double mhz)
{
  double sum = 0;

  for (guint k = 0; k < (over_inputs ? type->n_in : type->n_out); k++)
    {
      const DwnResponse *gain = over_inputs ? &type->gain[k][port] : &type->gain[port][k];
      sum += pow (10, dwn_response_db (gain, mhz) / 10);
    }
  return sum;
}

/* No passive part gives more than it takes, and none combines two whole signals at one frequency:
 * more than that would make noise below that of its own temperature. */
static gboolean
passive_at (const DwnPartType *type, double mhz)
{
  gboolean over_inputs = type->n_in > 1;
  gboolean meets = type->kind != DWN_PART_SWITCH && !is_channel_filter (type);

  for (guint i = 0; i < type->n_in; i++)
    for (guint o = 0; o < type->n_out; o++)
      if (dwn_response_db (&type->gain[i][o], mhz) > 0)
        return FALSE;
  for (guint p = 0; meets && p < (over_inputs ? type->n_out : type->n_in); p++)
    if (power_sum (type, over_inputs, p, mhz) > 1 + PASSIVE_SLACK)
      return FALSE;
  return TRUE;
}

static gboolean
check_passive (Reader *reader, const DwnPartType *type)
{
  for (guint i = 0; i < type->n_in; i++)
    for (guint o = 0; o < type->n_out; o++)
      for (guint k = 0; k < type->gain[i][o].n; k++)
        if (!passive_at (type, type->gain[i][o].mhz[k]))
          {
            dwn_ini_refuse (reader->ini, reader->group, NULL, reader->error,
                            _("at %g MHz more power comes out than goes in; a passive part has "
                              "losses"), type->gain[i][o].mhz[k]);
            return FALSE;
          }
  return TRUE;
}

static gboolean
check_active (Reader *reader, const DwnPartType *type)
{
  if (dwn_ini_string (reader->ini, reader->group, "noise-figure", reader->error) == NULL)
    return FALSE;
  for (guint k = 0; k < type->noise_figure.n; k++)
    if (type->noise_figure.db[k] < 0)
      return refuse (reader, "noise-figure", _("a noise figure is at least 0 dB"));
  return type->kind != DWN_PART_AMPLIFIER
         || dwn_ini_string (reader->ini, reader->group, "unpowered-loss-db", reader->error) != NULL;
}

static gboolean
needs_supply_figures (const DwnPartType *type)
{
  for (guint p = 0; p < DWN_MAX_PORTS; p++)
    if (type->dc_in[p] == DWN_DC_INJECT || type->dc_out[p] == DWN_DC_INJECT
        || type->dc_in[p] == DWN_DC_NEED || type->dc_out[p] == DWN_DC_NEED)
      return TRUE;
  return FALSE;
}

/* What has to be said beyond kind and ports. */
static gboolean
check_type (Reader *reader, const DwnPartType *type)
{
  for (guint i = 0; i < type->n_in; i++)
    for (guint o = 0; o < type->n_out; o++)
      if (type->gain[i][o].n == 0)
        {
          dwn_ini_refuse (reader->ini, reader->group, NULL, reader->error,
                          _("gain from input %u to output %u is missing"), i + 1, o + 1);
          return FALSE;
        }
  if (is_channel_filter (type)
      && dwn_ini_string (reader->ini, reader->group, "stop-db", reader->error) == NULL)
    return FALSE;
  if (needs_supply_figures (type)
      && (dwn_ini_string (reader->ini, reader->group, "volts", reader->error) == NULL
          || dwn_ini_string (reader->ini, reader->group, "milliamps", reader->error) == NULL))
    return FALSE;
  return type->active ? check_active (reader, type) : check_passive (reader, type);
}

static gboolean
read_ports_dc (Reader *reader, DwnPartType *type)
{
  return read_dc (reader, "dc-in", type->n_in, type->dc_in)
         && read_dc (reader, "dc-out", type->n_out, type->dc_out);
}

static gboolean
read_part (Reader *reader, const char *id)
{
  DwnPartType *type = g_new0 (DwnPartType, 1);

  keep_entry (reader->list->types, reader->list->type_by_id, id, type);
  type->id = id;
  if (!read_origin (reader, &type->name, &type->source, &type->from_memory)
      || !read_kind (reader, type) || !check_keys (reader, type, NULL) || !read_gains (reader, type)
      || !read_fields (reader, part_field, G_N_ELEMENTS (part_field), type)
      || !read_pairs (reader, type) || !read_ports_dc (reader, type)
      || !dwn_ini_flag (reader->ini, reader->group, "hybrid", &type->hybrid, reader->error)
      || !read_uses (reader, type))
    return FALSE;
  if (dwn_ini_has (reader->ini, reader->group, "noise-figure")
      && !read_response (reader, "noise-figure", &type->noise_figure))
    return FALSE;
  return check_type (reader, type);
}

/* Cables */

static gboolean
read_cable (Reader *reader, const char *id)
{
  DwnCableType *cable = g_new0 (DwnCableType, 1);

  keep_entry (reader->list->cables, reader->list->cable_by_id, id, cable);
  cable->id = id;
  if (!read_origin (reader, &cable->name, &cable->source, &cable->from_memory)
      || !check_keys (reader, NULL, is_cable_key)
      || !read_fields (reader, cable_field, G_N_ELEMENTS (cable_field), cable))
    return FALSE;
  if (dwn_ini_string (reader->ini, reader->group, "a", reader->error) == NULL
      || dwn_ini_string (reader->ini, reader->group, "b", reader->error) == NULL)
    return FALSE;
  cable->temperature_per_k = isnan (cable->temperature_per_k) ? 0 : cable->temperature_per_k;
  cable->age_per_year = isnan (cable->age_per_year) ? 0 : cable->age_per_year;
  return TRUE;
}

/* Carriers */

static gboolean
read_frequencies (Reader *reader, DwnCarrierGroup *group)
{
  g_autoptr (GArray) mhz = dwn_ini_numbers (reader->ini, reader->group, "mhz", 1, MAX_CARRIER_MHZ,
                                            reader->error);

  if (mhz == NULL)
    return FALSE;
  if (mhz->len == 0 || mhz->len > MAX_NODES)
    {
      dwn_ini_refuse (reader->ini, reader->group, "mhz", reader->error,
                      _("1 to %d figures are needed"), MAX_NODES);
      return FALSE;
    }
  group->n = mhz->len;
  group->mhz = g_memdup2 (mhz->data, mhz->len * sizeof (double));
  g_ptr_array_add (reader->list->blocks, (gpointer) group->mhz);
  return TRUE;
}

static gboolean
read_carriers (Reader *reader, const char *id)
{
  DwnCarrierGroup *group = g_new0 (DwnCarrierGroup, 1);

  keep_entry (reader->list->carriers, reader->list->carriers_by_id, id, group);
  group->id = id;
  return read_origin (reader, &group->name, &group->source, &group->from_memory)
         && check_keys (reader, NULL, is_carriers_key) && read_frequencies (reader, group)
         && dwn_ini_number (reader->ini, reader->group, "field-dbuv-m", -50, 200,
                            &group->field_dbuv_m, reader->error);
}

static gboolean
id_is_sound (const char *id)
{
  if (*id == '\0' || strlen (id) > 64)
    return FALSE;
  for (; *id != '\0'; id++)
    if (!g_ascii_islower (*id) && !g_ascii_isdigit (*id) && *id != '-')
      return FALSE;
  return TRUE;
}

static gboolean
read_group (Reader *reader)
{
  static const struct {
    const char *word;
    gboolean (*read) (Reader *reader, const char *id);
  } kind[] = { { "part ", read_part }, { "cable ", read_cable }, { "carriers ", read_carriers } };
  guint k = 0;

  while (k < G_N_ELEMENTS (kind) && !g_str_has_prefix (reader->group, kind[k].word))
    k++;
  if (k == G_N_ELEMENTS (kind))
    return refuse (reader, NULL, _("a group is a [part ID], a [cable ID] or [carriers ID]"));

  const char *id = reader->group + strlen (kind[k].word);
  if (!id_is_sound (id))
    return refuse (reader, NULL, _("an id is 1 to 64 of a to z, 0 to 9 and -"));
  return kind[k].read (reader, g_string_chunk_insert (reader->list->text, id));
}

static DwnIni *
open_file (GBytes *bytes, const char *name, GError **error)
{
  g_autoptr (DwnIni) ini = NULL;
  gsize n_groups;

  if (g_bytes_get_size (bytes) <= MAX_BYTES)
    {
      ini = dwn_ini_new (bytes, name, error);
      if (ini == NULL)
        return NULL;
      dwn_ini_groups (ini, &n_groups);
      if (n_groups > 0 && n_groups <= MAX_TYPES)
        return g_steal_pointer (&ini);
    }
  g_set_error (error, DWN_INI_ERROR, DWN_INI_ERROR_SYNTAX,
               _("%s:1: a parts file has at most 1 MiB and 1 to %d groups like [part splitter-2]"),
               name, MAX_TYPES);
  return NULL;
}

DwnPartList *
dwn_part_list_new_from_bytes (GBytes *bytes, const char *name, GError **error)
{
  g_return_val_if_fail (bytes != NULL && name != NULL, NULL);

  g_autoptr (DwnIni) ini = open_file (bytes, name, error);
  if (ini == NULL)
    return NULL;

  gsize n;
  const char *const *group = dwn_ini_groups (ini, &n);
  g_autoptr (DwnPartList) list = dwn_part_list_new_empty ();
  Reader reader = { .ini = ini, .list = list, .error = error };
  for (gsize k = 0; k < n; k++)
    {
      reader.group = group[k];
      if (!read_group (&reader))
        return NULL;
    }
  return g_steal_pointer (&list);
}
