/**
 * What the system says went wrong → words for people; its code stays, for whoever looks it up. Those about files
 * are the same that the command has for them.
 */

/** Words for each code. */
export const REASONS: Readonly<Record<string, string>> = {
  ECONNREFUSED: 'nobody answers there',
  ECONNRESET: 'the connection was broken off',
  EPIPE: 'the connection was broken off',
  ETIMEDOUT: 'there was no answer in time',
  EHOSTUNREACH: 'there is no way to that host',
  ENETUNREACH: 'there is no way to that network',
  ENOTFOUND: 'there is no host of that name',
  EAI_AGAIN: 'the name of the host cannot be looked up now',
  EADDRINUSE: 'another program has that port',
  EADDRNOTAVAIL: 'this machine does not have that address',
  ENOTDIR: 'a part of its path is not a folder',
  EMFILE: 'too many files are open',
  EACCES: 'no permission',
  EPERM: 'no permission',
  EISDIR: 'it is a folder, not a file',
  EIO: 'the disk or what it is on has failed',
  EROFS: 'the disk can only be read',
  ENOSPC: 'the disk is full',
  EDQUOT: 'your share of the disk is full',
  EFBIG: 'the disk takes no larger file',
}

/** Why something failed, in plain words where they are known. */
export function reasonOf(error: unknown): string {
  const { code, message } = error as NodeJS.ErrnoException
  const words = code === undefined ? undefined : REASONS[code]
  return words === undefined ? message : `${words} (${code})`
}
