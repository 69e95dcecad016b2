/* SRTM tiles, plain and packed, whole and hostile. */
#include "core/terrain/hgt.h"

#include <math.h>
#include <string.h>

#include "synthetic.h"

#define SIDE_3 1201
#define SIDE_1 3601

/* Whole metres at the nodes of 3 arc-second tiles. */
static double
slope_m (double lat_deg, double lon_deg)
{
  return 1000.0 + 1200.0 * (lon_deg + 72.0) + 2400.0 * (45.0 - lat_deg);
}

/* Whole metres at the nodes of 1 arc-second tiles too. */
static double
fine_slope_m (double lat_deg, double lon_deg)
{
  return 1000.0 + 3600.0 * (45.0 - lat_deg);
}

typedef struct {
  const char *name;
  gboolean valid;
  int south_deg, west_deg;
} Name;

static const Name names[] = {
  { "N44W072.hgt", TRUE, 44, -72 },
  { "n44w072.HGT", TRUE, 44, -72 },
  { "S01E036.SRTMGL1.hgt.zip", TRUE, -1, 36 },
  { "N00E000.hgt", TRUE, 0, 0 },
  { "S90W180.hgt", TRUE, -90, -180 },
  { "N89E179.hgt", TRUE, 89, 179 },
  { "N90E000.hgt", FALSE },
  { "S91E000.hgt", FALSE },
  { "N00E180.hgt", FALSE },
  { "N44W72.hgt", FALSE },
  { "N4xW072.hgt", FALSE },
  { "X44W072.hgt", FALSE },
  { "N44", FALSE },
  { "", FALSE },
};

static void
test_name (gconstpointer data)
{
  const Name *name = data;
  int south_deg = 0;
  int west_deg = 0;

  g_assert_cmpint (dwn_hgt_parse_name (name->name, &south_deg, &west_deg), ==, name->valid);
  if (!name->valid)
    return;
  g_assert_cmpint (south_deg, ==, name->south_deg);
  g_assert_cmpint (west_deg, ==, name->west_deg);
}

static void
assert_slope (const DwnTile *tile, guint side, SyntheticHeight height)
{
  const DwnTileGrid *grid = dwn_tile_get_grid (tile);

  g_assert_cmpuint (grid->columns, ==, side);
  g_assert_cmpuint (grid->rows, ==, side);
  g_assert_cmpint (grid->registration, ==, DWN_REGISTRATION_POINT);
  g_assert_cmpfloat (grid->west_deg, ==, -72.0);
  g_assert_cmpfloat (grid->north_deg, ==, 45.0);
  for (guint row = 0; row < side; row += 100)
    for (guint column = 0; column < side; column += 100)
      g_assert_cmpfloat (dwn_tile_sample_m (tile, column, row), ==,
                         rint (height (dwn_tile_grid_lat_deg (grid, row),
                                       dwn_tile_grid_lon_deg (grid, column))));
}

/* Written to a folder, so that the file itself is read. */
static void
check_file (const char *name, GBytes *bytes, guint side, SyntheticHeight height)
{
  g_auto (SyntheticFolder) folder;
  g_autoptr (GError) error = NULL;
  DwnTileGrid grid;

  synthetic_folder_init (&folder);
  synthetic_write (&folder, name, bytes);

  g_autofree char *path = synthetic_folder_file (&folder, name);
  g_autoptr (DwnTile) tile = dwn_hgt_read (path, &error);

  g_assert_no_error (error);
  assert_slope (tile, side, height);
  g_assert_true (dwn_hgt_probe (path, &grid, &error));
  g_assert_true (dwn_tile_grid_equal (&grid, dwn_tile_get_grid (tile)));
}

static void
test_plain_3 (void)
{
  g_autoptr (GBytes) bytes = synthetic_hgt (44, -72, SIDE_3, slope_m);

  check_file ("N44W072.hgt", bytes, SIDE_3, slope_m);
}

static void
test_plain_1 (void)
{
  g_autoptr (GBytes) bytes = synthetic_hgt (44, -72, SIDE_1, fine_slope_m);

  check_file ("N44W072.hgt", bytes, SIDE_1, fine_slope_m);
}

static void
test_gzip (void)
{
  g_autoptr (GBytes) bytes = synthetic_hgt (44, -72, SIDE_3, slope_m);
  SyntheticMember member = { .name = "data", .bytes = bytes };
  g_autoptr (GBytes) packed = synthetic_archive (&member, 1, TRUE);

  check_file ("N44W072.hgt.gz", packed, SIDE_3, slope_m);
}

/* The zip's own name says the degree, or leaves it to the member; a read-me may lie beside it. */
static void
test_zip (void)
{
  g_autoptr (GBytes) bytes = synthetic_hgt (44, -72, SIDE_3, slope_m);
  g_autoptr (GBytes) text = g_bytes_new_static ("heights", 7);
  SyntheticMember members[] = {
    { .name = "readme.txt", .bytes = text },
    { .name = "__MACOSX/._N44W072.hgt", .bytes = text },
    { .name = "folder/N44W072.hgt", .bytes = bytes },
  };
  g_autoptr (GBytes) packed = synthetic_archive (members, G_N_ELEMENTS (members), FALSE);

  check_file ("N44W072.SRTMGL3.hgt.zip", packed, SIDE_3, slope_m);
  check_file ("some-tile.zip", packed, SIDE_3, slope_m);
}

static void
assert_refused (const char *name, GBytes *bytes, DwnTerrainError code)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (DwnTile) tile = dwn_hgt_read_bytes (name, bytes, &error);

  g_assert_null (tile);
  g_assert_error (error, DWN_TERRAIN_ERROR, (int) code);
  g_assert_true (g_str_has_prefix (error->message, name));
}

static void
test_refuse_size (void)
{
  g_autoptr (GBytes) whole = synthetic_hgt (44, -72, SIDE_3, slope_m);
  g_autoptr (GBytes) truncated = g_bytes_new_from_bytes (whole, 0, g_bytes_get_size (whole) - 1);
  g_autoptr (GBytes) empty = g_bytes_new_static ("", 0);
  gsize too_long = g_bytes_get_size (whole) + 2;
  g_autoptr (GBytes) larger = g_bytes_new_take (g_malloc0 (too_long), too_long);

  assert_refused ("N44W072.hgt", truncated, DWN_TERRAIN_ERROR_SIZE);
  assert_refused ("N44W072.hgt", empty, DWN_TERRAIN_ERROR_SIZE);
  assert_refused ("N44W072.hgt", larger, DWN_TERRAIN_ERROR_SIZE);
  assert_refused ("N44W072.hgt.gz", empty, DWN_TERRAIN_ERROR_SIZE);
  assert_refused ("White-Mountains.hgt", whole, DWN_TERRAIN_ERROR_NAME);
  assert_refused ("N44W072.dat", whole, DWN_TERRAIN_ERROR_NAME);
}

typedef struct {
  const char *name;
  const char *member;
  const char *link;
  DwnTerrainError code;
} Unsafe;

static const Unsafe unsafe[] = {
  { "parent", "../N44W072.hgt", NULL, DWN_TERRAIN_ERROR_UNSAFE },
  { "parent-inside", "a/../../N44W072.hgt", NULL, DWN_TERRAIN_ERROR_UNSAFE },
  { "parent-backslash", "a\\..\\..\\N44W072.hgt", NULL, DWN_TERRAIN_ERROR_UNSAFE },
  { "absolute", "/etc/N44W072.hgt", NULL, DWN_TERRAIN_ERROR_UNSAFE },
  { "drive", "C:N44W072.hgt", NULL, DWN_TERRAIN_ERROR_UNSAFE },
  { "link", "N44W072.hgt", "/etc/passwd", DWN_TERRAIN_ERROR_UNSAFE },
  { "link-beside", "notes", "elsewhere", DWN_TERRAIN_ERROR_UNSAFE },
  { "other-degree", "N45W072.hgt", NULL, DWN_TERRAIN_ERROR_NAME },
  { "no-tile", "N44W072.dat", NULL, DWN_TERRAIN_ERROR_UNSUPPORTED },
};

static void
test_unsafe (gconstpointer data)
{
  const Unsafe *row = data;
  g_autoptr (GBytes) bytes = synthetic_hgt (44, -72, SIDE_3, slope_m);
  SyntheticMember member = { row->member, row->link, row->link != NULL ? NULL : bytes };
  g_autoptr (GBytes) packed = synthetic_archive (&member, 1, FALSE);

  assert_refused ("N44W072.hgt.zip", packed, row->code);
}

static void
test_several (void)
{
  g_autoptr (GBytes) bytes = synthetic_hgt (44, -72, SIDE_3, slope_m);
  SyntheticMember members[] = {
    { .name = "a/N44W072.hgt", .bytes = bytes },
    { .name = "b/N44W072.hgt", .bytes = bytes },
  };
  g_autoptr (GBytes) packed = synthetic_archive (members, G_N_ELEMENTS (members), FALSE);

  assert_refused ("N44W072.hgt.zip", packed, DWN_TERRAIN_ERROR_UNSUPPORTED);
}

static void
test_member_size (void)
{
  g_autoptr (GBytes) little = g_bytes_new_static ("12345678", 8);
  SyntheticMember member = { .name = "N44W072.hgt", .bytes = little };
  g_autoptr (GBytes) packed = synthetic_archive (&member, 1, FALSE);

  assert_refused ("N44W072.hgt.zip", packed, DWN_TERRAIN_ERROR_SIZE);
}

/* A member of a hundred megabytes, packed into a hundred kilobytes. */
static void
test_bomb (void)
{
  gsize size = 60 * 1000 * 1000;
  g_autoptr (GBytes) zeros = g_bytes_new_take (g_malloc0 (size), size);
  SyntheticMember member = { .name = "N44W072.hgt", .bytes = zeros };
  g_autoptr (GBytes) zip = synthetic_archive (&member, 1, FALSE);
  g_autoptr (GBytes) gzip = synthetic_archive (&member, 1, TRUE);

  g_assert_cmpuint (g_bytes_get_size (zip), <, 200 * 1000);
  assert_refused ("N44W072.hgt.zip", zip, DWN_TERRAIN_ERROR_SIZE);
  assert_refused ("N44W072.hgt.gz", gzip, DWN_TERRAIN_ERROR_SIZE);
}

/* A .gz whose end lies about what it unpacks to. */
static void
test_lying_gzip (void)
{
  gsize size = 60 * 1000 * 1000;
  g_autoptr (GBytes) zeros = g_bytes_new_take (g_malloc0 (size), size);
  SyntheticMember member = { .name = "data", .bytes = zeros };
  g_autoptr (GBytes) gzip = synthetic_archive (&member, 1, TRUE);
  g_autoptr (GByteArray) lying = g_bytes_unref_to_array (g_steal_pointer (&gzip));
  guint32 claimed = GUINT32_TO_LE (SIDE_3 * SIDE_3 * 2);

  memcpy (lying->data + lying->len - sizeof claimed, &claimed, sizeof claimed);

  g_autoptr (GBytes) bytes = g_bytes_new (lying->data, lying->len);

  assert_refused ("N44W072.hgt.gz", bytes, DWN_TERRAIN_ERROR_SIZE);
}

static void
test_corrupt_archive (void)
{
  g_autoptr (GBytes) bytes = synthetic_hgt (44, -72, SIDE_3, slope_m);
  SyntheticMember member = { .name = "N44W072.hgt", .bytes = bytes };
  g_autoptr (GBytes) zip = synthetic_archive (&member, 1, FALSE);
  g_autoptr (GBytes) half = g_bytes_new_from_bytes (zip, 0, g_bytes_get_size (zip) / 2);
  g_autoptr (GBytes) noise = g_bytes_new_static ("this is no archive at all", 25);
  g_autoptr (GByteArray) bent = g_byte_array_new ();

  g_byte_array_append (bent, g_bytes_get_data (zip, NULL), (guint) g_bytes_get_size (zip));
  for (guint i = bent->len / 2; i < bent->len / 2 + 20; i++)
    bent->data[i] ^= 0x5a;

  g_autoptr (GBytes) flipped = g_bytes_new (bent->data, bent->len);

  assert_refused ("N44W072.hgt.zip", half, DWN_TERRAIN_ERROR_CORRUPT);
  assert_refused ("N44W072.hgt.zip", noise, DWN_TERRAIN_ERROR_CORRUPT);
  assert_refused ("N44W072.hgt.zip", flipped, DWN_TERRAIN_ERROR_CORRUPT);
}

static void
test_missing (void)
{
  g_autoptr (GError) error = NULL;

  g_assert_null (dwn_hgt_read ("/nowhere/N44W072.hgt", &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    {
      g_autofree char *path = g_strdup_printf ("/hgt/name/%" G_GSIZE_FORMAT "-%s", i,
                                               names[i].name);

      g_test_add_data_func (path, &names[i], test_name);
    }
  g_test_add_func ("/hgt/plain/3-arc-seconds", test_plain_3);
  g_test_add_func ("/hgt/plain/1-arc-second", test_plain_1);
  g_test_add_func ("/hgt/gzip", test_gzip);
  g_test_add_func ("/hgt/zip", test_zip);
  g_test_add_func ("/hgt/refuse/size-and-name", test_refuse_size);
  for (gsize i = 0; i < G_N_ELEMENTS (unsafe); i++)
    {
      g_autofree char *path = g_strconcat ("/hgt/refuse/", unsafe[i].name, NULL);

      g_test_add_data_func (path, &unsafe[i], test_unsafe);
    }
  g_test_add_func ("/hgt/refuse/several", test_several);
  g_test_add_func ("/hgt/refuse/member-size", test_member_size);
  g_test_add_func ("/hgt/refuse/bomb", test_bomb);
  g_test_add_func ("/hgt/refuse/lying-gzip", test_lying_gzip);
  g_test_add_func ("/hgt/refuse/corrupt-archive", test_corrupt_archive);
  g_test_add_func ("/hgt/refuse/missing", test_missing);
  return g_test_run ();
}
