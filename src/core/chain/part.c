#include "core/chain/part-private.h"

#include <math.h>
#include <string.h>

#include "core/data/data.h"

#define PARTS_FILE "chain/parts.ini"
#define REFERENCE_TEMPERATURE_C 20.0

static const char *const kind_id[DWN_N_PART_KINDS] = {
  [DWN_PART_ANTENNA] = "antenna",
  [DWN_PART_BALUN] = "balun",
  [DWN_PART_FILTER] = "filter",
  [DWN_PART_COMBINER] = "combiner",
  [DWN_PART_AMPLIFIER] = "amplifier",
  [DWN_PART_INSERTER] = "inserter",
  [DWN_PART_SURGE] = "surge",
  [DWN_PART_SPLITTER] = "splitter",
  [DWN_PART_TAP] = "tap",
  [DWN_PART_ATTENUATOR] = "attenuator",
  [DWN_PART_EQUALISER] = "equaliser",
  [DWN_PART_PLATE] = "plate",
  [DWN_PART_JOINT] = "joint",
  [DWN_PART_SWITCH] = "switch",
  [DWN_PART_OUTLET] = "outlet",
};

const char *
dwn_part_kind_id (DwnPartKind kind)
{
  g_return_val_if_fail ((guint) kind < DWN_N_PART_KINDS, NULL);

  return kind_id[kind];
}

gboolean
dwn_part_kind_from_id (const char *id, DwnPartKind *kind)
{
  g_return_val_if_fail (id != NULL && kind != NULL, FALSE);

  for (guint k = 0; k < DWN_N_PART_KINDS; k++)
    if (strcmp (kind_id[k], id) == 0)
      {
        *kind = (DwnPartKind) k;
        return TRUE;
      }
  return FALSE;
}

double
dwn_response_db (const DwnResponse *response, double mhz)
{
  guint n = response->n;

  if (n == 0)
    return 0;
  if (isnan (mhz))
    return (double) NAN;
  if (mhz <= response->mhz[0])
    return response->db[0];
  if (mhz >= response->mhz[n - 1])
    return response->db[n - 1];

  guint k = 1;
  while (response->mhz[k] < mhz)
    k++;
  double share = (mhz - response->mhz[k - 1]) / (response->mhz[k] - response->mhz[k - 1]);
  return response->db[k - 1] + share * (response->db[k] - response->db[k - 1]);
}

double
dwn_cable_loss_db (const DwnCableType *cable, double length_m, double mhz)
{
  g_return_val_if_fail (cable != NULL, (double) NAN);

  if (!(length_m >= 0) || !(mhz > 0))
    return (double) NAN;
  return (cable->a * sqrt (mhz) + cable->b * mhz) * length_m / 100;
}

double
dwn_cable_loss_aged_db (const DwnCableType *cable, double length_m, double mhz,
                        double temperature_c, double age_years)
{
  g_return_val_if_fail (cable != NULL, (double) NAN);

  if (!(age_years >= 0))
    return (double) NAN;
  double warm = 1 + cable->temperature_per_k * (temperature_c - REFERENCE_TEMPERATURE_C);
  double aged = 1 + cable->age_per_year * age_years;
  return dwn_cable_loss_db (cable, length_m, mhz) * warm * aged;
}

DwnPartList *
dwn_part_list_new_empty (void)
{
  DwnPartList *list = g_new0 (DwnPartList, 1);

  g_atomic_ref_count_init (&list->ref_count);
  list->text = g_string_chunk_new (4096);
  list->blocks = g_ptr_array_new_with_free_func (g_free);
  list->types = g_ptr_array_new_with_free_func (g_free);
  list->cables = g_ptr_array_new_with_free_func (g_free);
  list->carriers = g_ptr_array_new_with_free_func (g_free);
  list->type_by_id = g_hash_table_new (g_str_hash, g_str_equal);
  list->cable_by_id = g_hash_table_new (g_str_hash, g_str_equal);
  list->carriers_by_id = g_hash_table_new (g_str_hash, g_str_equal);
  return list;
}

DwnPartList *
dwn_part_list_new (GError **error)
{
  gboolean overridden;
  g_autoptr (GBytes) bytes = dwn_data_lookup (PARTS_FILE, &overridden, error);

  if (bytes == NULL)
    return NULL;
  g_autofree char *name = overridden ? dwn_data_override_path (PARTS_FILE) : g_strdup (PARTS_FILE);
  return dwn_part_list_new_from_bytes (bytes, name, error);
}

DwnPartList *
dwn_part_list_ref (const DwnPartList *list)
{
  DwnPartList *mine = (DwnPartList *) list;

  g_return_val_if_fail (list != NULL, NULL);

  g_atomic_ref_count_inc (&mine->ref_count);
  return mine;
}

void
dwn_part_list_unref (DwnPartList *list)
{
  g_return_if_fail (list != NULL);

  if (!g_atomic_ref_count_dec (&list->ref_count))
    return;
  g_hash_table_unref (list->type_by_id);
  g_hash_table_unref (list->cable_by_id);
  g_hash_table_unref (list->carriers_by_id);
  g_ptr_array_unref (list->types);
  g_ptr_array_unref (list->cables);
  g_ptr_array_unref (list->carriers);
  g_ptr_array_unref (list->blocks);
  g_string_chunk_free (list->text);
  g_free (list);
}

const DwnPartType *
dwn_part_list_find (const DwnPartList *list, const char *id)
{
  g_return_val_if_fail (list != NULL && id != NULL, NULL);

  return g_hash_table_lookup (list->type_by_id, id);
}

const DwnPartType *const *
dwn_part_list_types (const DwnPartList *list, guint *n)
{
  g_return_val_if_fail (list != NULL && n != NULL, NULL);

  *n = list->types->len;
  return (const DwnPartType *const *) list->types->pdata;
}

const DwnCableType *
dwn_part_list_find_cable (const DwnPartList *list, const char *id)
{
  g_return_val_if_fail (list != NULL && id != NULL, NULL);

  return g_hash_table_lookup (list->cable_by_id, id);
}

const DwnCableType *const *
dwn_part_list_cables (const DwnPartList *list, guint *n)
{
  g_return_val_if_fail (list != NULL && n != NULL, NULL);

  *n = list->cables->len;
  return (const DwnCableType *const *) list->cables->pdata;
}

const DwnCarrierGroup *
dwn_part_list_find_carriers (const DwnPartList *list, const char *id)
{
  g_return_val_if_fail (list != NULL && id != NULL, NULL);

  return g_hash_table_lookup (list->carriers_by_id, id);
}

const DwnCarrierGroup *const *
dwn_part_list_carriers (const DwnPartList *list, guint *n)
{
  g_return_val_if_fail (list != NULL && n != NULL, NULL);

  *n = list->carriers->len;
  return (const DwnCarrierGroup *const *) list->carriers->pdata;
}
