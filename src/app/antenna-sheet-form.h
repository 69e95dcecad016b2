/* An antenna from the few figures of its data sheet, with its pattern as one goes along. */
#pragma once

#include "app/scene-view.h"
#include "core/antenna/sheet.h"

G_BEGIN_DECLS

#define DWN_TYPE_ANTENNA_SHEET_FORM (dwn_antenna_sheet_form_get_type ())
G_DECLARE_FINAL_TYPE (DwnAntennaSheetForm, dwn_antenna_sheet_form, DWN, ANTENNA_SHEET_FORM, GtkBox)

/* Its buttons call antennas.sheet-save and antennas.back, of an ancestor's making. */
GtkWidget *dwn_antenna_sheet_form_new (DwnDocument *document);

/* The focus into the first field. */
void dwn_antenna_sheet_form_begin (DwnAntennaSheetForm *self);

/* Fields as on the sheet; NaN leaves a field empty. For one of its bands, by rising frequency. */
void dwn_antenna_sheet_form_set_name (DwnAntennaSheetForm *self, const char *name);
void dwn_antenna_sheet_form_set_band (DwnAntennaSheetForm *self, guint band, const DwnSheetBand *values);
guint dwn_antenna_sheet_form_add_band (DwnAntennaSheetForm *self); /* its number */

/* What the fields make. Returns: (transfer full), or NULL with @error where they do not suffice. */
DwnAntenna *dwn_antenna_sheet_form_antenna (DwnAntennaSheetForm *self, GError **error);

/* What is shown as assumed or doubtful; "" where nothing is. */
const char *dwn_antenna_sheet_form_warnings (DwnAntennaSheetForm *self);

void dwn_antenna_sheet_form_say (DwnAntennaSheetForm *self, const char *text);

G_END_DECLS
