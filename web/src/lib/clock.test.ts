import { describe, expect, it } from 'vitest';
import { type Heard, isStale, offset, remember, staleAfterMs } from './clock';

describe('the server clock', () => {
  it('is unknown before the server has said anything', () => {
    expect(offset([])).toBeNull();
  });
  it('is taken from the message that was under way the shortest', () => {
    const heard: Heard[] = [
      { server: 10_000, local: 300 },
      { server: 12_000, local: 2010 },
      { server: 14_000, local: 4900 },
    ];
    expect(offset(heard)).toBeCloseTo(9990, 0);
  });
  it('follows a server clock that was set back once the old messages are forgotten', () => {
    let heard: readonly Heard[] = [{ server: 100_000, local: 0 }];
    for (let i = 1; i <= 30; ++i) heard = remember(heard, { server: 50_000 + i * 2000, local: i * 2000 });
    expect(offset(heard)).toBeCloseTo(50_000, -1);
  });
  it('makes the page stale in under five seconds of silence', () => {
    expect(isStale(1000, 1000 + staleAfterMs)).toBe(false);
    expect(isStale(1000, 1001 + staleAfterMs)).toBe(true);
    expect(staleAfterMs).toBeLessThan(5000);
  });
});
