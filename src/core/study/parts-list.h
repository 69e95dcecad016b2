/* What has to be bought for a plan: parts, cable with its waste, connectors, caps for open ends. */
#pragma once

#include "core/plan/plan.h"

G_BEGIN_DECLS

/* Rules of the trade, from the data file study/parts-list.ini. */
typedef struct {
  double waste_share;      /* of each kind of cable, bought beyond what is laid */
  double whole_m;          /* cable is bought in whole lengths of this */
  double connector_price, terminator_price; /* NaN: none given */
} DwnPartsRules;
gboolean dwn_parts_rules_load (DwnPartsRules *rules, GError **error);

typedef enum {
  DWN_PARTS_PART,
  DWN_PARTS_CABLE,
  DWN_PARTS_CONNECTOR,  /* one at either end of every cable */
  DWN_PARTS_TERMINATOR, /* one on every output that the plan says is capped */
} DwnPartsKind;

/* One line. NaN: not known, does not apply. */
typedef struct {
  DwnPartsKind kind;
  const char *type;    /* id of the type of part or cable, of the antenna; a connector: of its cable;
                        * interned */
  const char *name;    /* of the same, untranslated; interned */
  guint count;         /* cable: how many lengths it is cut into */
  double laid_m, bought_m; /* cable */
  double each;         /* price of one, of a metre of cable: the plan's own, else the data file's */
  double price;        /* of the line */
} DwnPartsLine;

/* Immutable, refcounted. Antennas first, then parts as they come in the plan, cables, connectors. */
typedef struct {
  guint n;
  const DwnPartsLine *line;
  double total;        /* of all that has a price; NaN where nothing has */
  guint n_unpriced;    /* lines without one */
} DwnPartsList;

/* Televisions are not bought: outlets are left out. Parts of one type and price share a line. A stack is
 * two of its antenna and a hybrid that joins them. */
DwnPartsList *dwn_parts_list_new (const DwnChain *gear, const DwnPartsRules *rules);
void dwn_parts_list_unref (const DwnPartsList *list);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (DwnPartsList, dwn_parts_list_unref)

G_END_DECLS
