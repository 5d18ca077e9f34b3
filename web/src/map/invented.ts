// A small invented station for tests: three worksites in a line along y, one arm, one box and one cylinder.
import type { Scene } from './scene';

const site = (id: string, at_m: number[], anchor = false) => ({ id, name: id, about: '', at_m, outward: [0, 0, -1], anchor });
export const yard: Scene = {
  name: 'Yard',
  airlock: 'door',
  worksites: [site('door', [0, 0, 0], true), site('mid', [0, 10, 0]), site('tip', [0, 20, 2])],
  routes: [{ a: 'door', b: 'mid', length_m: 30 }, { a: 'mid', b: 'tip', length_m: 10 }],
  solids: [
    { shape: 'box', at_m: [0, 10, 1], size_m: [2, 24, 1] },
    { shape: 'cylinder', at_m: [0, 0, 0], axis: [1, 0, 0], radius_m: 2, length_m: 12 },
  ],
  arm: { name: 'Crane', base_m: [0, 5, 0], reach_m: 12, parked: 'mid' },
};
