#include "draw/scene.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <gio/gio.h>
#include <glib/gi18n-lib.h>
#include <math.h>

#include "draw/scene-private.h"

#define PNG_SCALE 2.0

static cairo_status_t
append_cb (void *closure, const unsigned char *data, unsigned int length)
{
  g_byte_array_append (closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

static cairo_surface_t *
create_surface (const DwnScene *scene, const char *path, GByteArray *bytes)
{
  if (g_str_has_suffix (path, ".pdf"))
    return cairo_pdf_surface_create_for_stream (append_cb, bytes, scene->width, scene->height);
  if (g_str_has_suffix (path, ".svg"))
    return cairo_svg_surface_create_for_stream (append_cb, bytes, scene->width, scene->height);
  if (!g_str_has_suffix (path, ".png"))
    return NULL;

  cairo_surface_t *image = cairo_image_surface_create (CAIRO_FORMAT_RGB24,
                                                       (int) ceil (scene->width * PNG_SCALE),
                                                       (int) ceil (scene->height * PNG_SCALE));
  cairo_surface_set_device_scale (image, PNG_SCALE, PNG_SCALE);
  return image;
}

static cairo_status_t
paint_page (const DwnScene *scene, cairo_surface_t *surface)
{
  cairo_t *cr = cairo_create (surface);
  DwnColour ground = scene->ground;

  cairo_set_source_rgb (cr, ground.red, ground.green, ground.blue);
  cairo_paint (cr);
  dwn_scene_paint (scene, DWN_LAYER_ALL, cr);
  cairo_show_page (cr);

  cairo_status_t status = cairo_status (cr);
  cairo_destroy (cr);
  return status;
}

static cairo_status_t
finish_page (cairo_surface_t *surface, GByteArray *bytes)
{
  if (cairo_surface_get_type (surface) == CAIRO_SURFACE_TYPE_IMAGE)
    return cairo_surface_write_to_png_stream (surface, append_cb, bytes);
  cairo_surface_finish (surface);
  return cairo_surface_status (surface);
}

GBytes *
dwn_scene_to_bytes (const DwnScene *scene, const char *path, GError **error)
{
  g_return_val_if_fail (scene != NULL, NULL);
  g_return_val_if_fail (path != NULL, NULL);

  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  cairo_surface_t *surface = create_surface (scene, path, bytes);

  if (surface == NULL)
    {
      g_set_error (error, G_IO_ERROR, G_IO_ERROR_NOT_SUPPORTED,
                   _("%s: the name must end in .pdf, .svg or .png"), path);
      return NULL;
    }

  cairo_status_t status = paint_page (scene, surface);
  if (status == CAIRO_STATUS_SUCCESS)
    status = finish_page (surface, bytes);
  cairo_surface_destroy (surface);
  if (status != CAIRO_STATUS_SUCCESS)
    {
      g_set_error (error, G_IO_ERROR, G_IO_ERROR_FAILED, _("%s: cannot be drawn: %s"), path,
                   cairo_status_to_string (status));
      return NULL;
    }
  return g_byte_array_free_to_bytes (g_steal_pointer (&bytes));
}

gboolean
dwn_scene_write (const DwnScene *scene, const char *path, GError **error)
{
  g_autoptr (GBytes) bytes = dwn_scene_to_bytes (scene, path, error);
  gsize size;

  if (bytes == NULL)
    return FALSE;
  const char *data = g_bytes_get_data (bytes, &size);
  return g_file_set_contents_full (path, data, (gssize) size,
                                   G_FILE_SET_CONTENTS_CONSISTENT | G_FILE_SET_CONTENTS_DURABLE,
                                   0666, error);
}
