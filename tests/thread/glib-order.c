/* Preloaded under the thread sanitizer: tells it what GLib puts in order.
 *
 * The sanitizer sees what a library does only where the library was compiled for it. Debian's GLib
 * was not, and its locks are futexes rather than the C library's, so that everything a lock, a
 * GTask or a thread pool orders would look like a race. Each function here stands before GLib's own,
 * calls it, and marks the order that its documentation promises: what one thread did before it
 * released an address comes before what another does after it acquired that address.
 *
 * The promises kept to are those of the functions that Downlead calls. Where the process has no
 * sanitizer in it, every call goes straight through. */
#define GLIB_DISABLE_DEPRECATION_WARNINGS
#include <dlfcn.h>
#include <gio/gio.h>

/* The sanitizer's, where it is there. */
void __tsan_acquire (void *address) __attribute__ ((weak));
void __tsan_release (void *address) __attribute__ ((weak));

/* GLib's macros for these go round the functions. */
#undef g_once
#undef g_once_init_enter
#undef g_once_init_leave
#undef g_atomic_ref_count_init
#undef g_atomic_ref_count_inc
#undef g_atomic_ref_count_dec
#undef g_object_ref

/* GLib's own function behind this one; looked up each time, since the lookup is thread-safe and a
 * variable for it would be what is tested here. */
#define NEXT(function) ((__typeof__ (&(function))) dlsym (RTLD_NEXT, #function))

static void
acquire (gconstpointer address)
{
  if (__tsan_acquire != NULL)
    __tsan_acquire ((gpointer) address);
}

static void
release (gconstpointer address)
{
  if (__tsan_release != NULL)
    __tsan_release ((gpointer) address);
}

/* Locks -------------------------------------------------------------------------------------- */

void
g_mutex_lock (GMutex *mutex)
{
  NEXT (g_mutex_lock) (mutex);
  acquire (mutex);
}

gboolean
g_mutex_trylock (GMutex *mutex)
{
  gboolean locked = NEXT (g_mutex_trylock) (mutex);

  if (locked)
    acquire (mutex);
  return locked;
}

void
g_mutex_unlock (GMutex *mutex)
{
  release (mutex);
  NEXT (g_mutex_unlock) (mutex);
}

/* Waiting gives the lock back in between. */
void
g_cond_wait (GCond *cond, GMutex *mutex)
{
  release (mutex);
  NEXT (g_cond_wait) (cond, mutex);
  acquire (mutex);
}

gboolean
g_cond_wait_until (GCond *cond, GMutex *mutex, gint64 end_us)
{
  release (mutex);
  gboolean signalled = NEXT (g_cond_wait_until) (cond, mutex, end_us);
  acquire (mutex);
  return signalled;
}

/* Once --------------------------------------------------------------------------------------- */

typedef struct {
  GOnce *once;
  GThreadFunc function;
  gpointer data;
} OnceCall;

/* Before GLib says that it is done: others look at that first, without a call. */
static gpointer
run_once (gpointer data)
{
  OnceCall *call = data;
  gpointer value = call->function (call->data);

  release (call->once);
  return value;
}

gpointer
g_once_impl (GOnce *once, GThreadFunc function, gpointer data)
{
  OnceCall call = { once, function, data };
  gpointer value = NEXT (g_once_impl) (once, run_once, &call);

  acquire (once);
  return value;
}

gboolean
g_once_init_enter (volatile void *location)
{
  gboolean mine = NEXT (g_once_init_enter) (location);

  acquire ((gconstpointer) location);
  return mine;
}

void
g_once_init_leave (volatile void *location, gsize result)
{
  release ((gconstpointer) location);
  NEXT (g_once_init_leave) (location, result);
}

/* References: dropping one comes before the freeing that the last one does ------------------------ */

gboolean
g_atomic_ref_count_dec (gatomicrefcount *count)
{
  release (count);
  gboolean last = NEXT (g_atomic_ref_count_dec) (count);
  if (last)
    acquire (count);
  return last;
}

/* Which call was the last is known to GLib only, in the middle of it. */
typedef struct {
  gpointer box;
  GDestroyNotify clear; /* nullable */
} LastReference;

static __thread LastReference last_reference;

static void
clear_box (gpointer box)
{
  GDestroyNotify clear = last_reference.clear;

  acquire (box);
  if (clear != NULL)
    clear (box);
}

void
g_atomic_rc_box_release_full (gpointer box, GDestroyNotify clear)
{
  LastReference outer = last_reference;

  last_reference = (LastReference) { box, clear };
  release (box);
  NEXT (g_atomic_rc_box_release_full) (box, clear_box);
  last_reference = outer;
}

void
g_object_unref (gpointer object)
{
  release (object);
  acquire (object);
  NEXT (g_object_unref) (object);
}

/* Work given to another thread ----------------------------------------------------------------- */

typedef struct {
  GFunc function;
  gpointer user_data;
} Pooled;

static void
work_pooled (gpointer data, gpointer user_data)
{
  Pooled *pooled = user_data;

  acquire (data);
  acquire (pooled);
  pooled->function (data, pooled->user_data);
  release (pooled);
}

/* The pool keeps its Pooled as its user data, the first field after the function in GLib's public
 * struct, until it is freed. */
GThreadPool *
g_thread_pool_new (GFunc function, gpointer user_data, int most, gboolean exclusive, GError **error)
{
  Pooled *pooled = g_new (Pooled, 1);

  *pooled = (Pooled) { function, user_data };
  release (pooled);
  return NEXT (g_thread_pool_new) (work_pooled, pooled, most, exclusive, error);
}

gboolean
g_thread_pool_push (GThreadPool *pool, gpointer data, GError **error)
{
  release (data);
  release (pool->user_data);
  return NEXT (g_thread_pool_push) (pool, data, error);
}

void
g_thread_pool_free (GThreadPool *pool, gboolean immediate, gboolean wait)
{
  Pooled *pooled = pool->user_data;

  NEXT (g_thread_pool_free) (pool, immediate, wait);
  acquire (pooled);
  if (wait)
    g_free (pooled);
}

/* A task passes its data to its thread and its result back: in order both ways. The function is
 * kept with the task, under this key. */
#define TASK_KEY "glib-order-function"

static void
work_task (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  acquire (task);
  GTaskThreadFunc function = (GTaskThreadFunc) g_object_get_data (G_OBJECT (task), TASK_KEY);
  function (task, source, data, cancellable);
}

void
g_task_run_in_thread (GTask *task, GTaskThreadFunc function)
{
  g_object_set_data (G_OBJECT (task), TASK_KEY, (gpointer) function);
  release (task);
  NEXT (g_task_run_in_thread) (task, work_task);
}

void
g_task_return_pointer (GTask *task, gpointer result, GDestroyNotify clear)
{
  release (task);
  NEXT (g_task_return_pointer) (task, result, clear);
}

void
g_task_return_boolean (GTask *task, gboolean result)
{
  release (task);
  NEXT (g_task_return_boolean) (task, result);
}

void
g_task_return_error (GTask *task, GError *error)
{
  release (task);
  NEXT (g_task_return_error) (task, error);
}

gboolean
g_task_return_error_if_cancelled (GTask *task)
{
  release (task);
  return NEXT (g_task_return_error_if_cancelled) (task);
}

gpointer
g_task_propagate_pointer (GTask *task, GError **error)
{
  acquire (task);
  return NEXT (g_task_propagate_pointer) (task, error);
}

gboolean
g_task_propagate_boolean (GTask *task, GError **error)
{
  acquire (task);
  return NEXT (g_task_propagate_boolean) (task, error);
}

gpointer
g_task_get_task_data (GTask *task)
{
  gpointer data = NEXT (g_task_get_task_data) (task);

  acquire (task);
  return data;
}
