/** Waiting with an end. */

/** Waits for something, but not for ever. */
export async function within(milliseconds: number, work: Promise<unknown>): Promise<void> {
  let timer: NodeJS.Timeout | undefined
  const late = new Promise<void>((resolve) => {
    timer = setTimeout(resolve, milliseconds)
  })
  await Promise.race([work, late])
  clearTimeout(timer)
}
