// The station in space: solids and routes in the light of the sun, drawn by the graphics card or by software in its
// place. Draws only when asked: nothing here runs by itself. The one file that knows three; loaded when first needed.
import {
  AmbientLight, BoxGeometry, BufferGeometry, Color, CylinderGeometry, DirectionalLight, EdgesGeometry, Group, LineBasicMaterial, LineSegments, Mesh, MeshBasicMaterial, MeshLambertMaterial, PerspectiveCamera, BasicShadowMap, Scene as Stage, Vector3, WebGLRenderer,
} from 'three';
import type { Point } from './flat';
import { boundsOf, distance, halfOf, mix, type Scene, type Solid, vec, type Vec } from './scene';

export interface Colours {
  readonly back: string;
  readonly night: string;
  readonly solid: string;
  readonly edge: string;
  readonly route: string;
}

const upward = new Vector3(0, 0, -1); // away from the Earth
const fieldOfView = 34;
const home = { turn: 0.95, rise: 0.5 };

/** A picture that takes longer than this, in ms, would be felt while turning the map. */
const slowFrame = 25;
/** Points drawn for each of the sheet's, along one side, where a processor draws: at rest, and while something moves. */
const coarse = { rest: 0.8, moving: 0.45 };

export class Space {
  /** Drawing is dear here: draw when it is worth it. */
  slow = false;
  private measured = 0;
  private moving = false;
  private readonly renderer: WebGLRenderer;
  private readonly stage = new Stage();
  private readonly camera = new PerspectiveCamera(fieldOfView, 1, 0.5, 2000);
  private readonly sun = new DirectionalLight(0xffffff, 2.6);
  private readonly everywhere = new AmbientLight(0xffffff, 1.1);
  private readonly solid = new MeshLambertMaterial();
  private readonly edge = new LineBasicMaterial();
  private readonly route = new MeshBasicMaterial();
  private readonly centre: Vector3;
  private readonly radius: number;
  private readonly corners: Vector3[] = [];
  private turned = home.turn;
  private risen = home.rise;
  private zoomed = 1;
  private width = 1;
  private most = { x: 0.9, y: 0.86 };
  private height = 1;
  private colours: Colours | null = null;
  private night = false;

  /** Throws where the browser has no WebGL. `bySoftware`: no graphics card, each point costs a processor's time. */
  constructor(canvas: HTMLCanvasElement, scene: Scene, bySoftware: boolean) {
    this.renderer = new WebGLRenderer({ canvas, antialias: !bySoftware, powerPreference: 'low-power' });
    this.renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = BasicShadowMap;
    this.renderer.shadowMap.autoUpdate = false;
    const { low, high } = boundsOf(scene);
    this.centre = new Vector3(...mix(low, high, 0.5));
    this.radius = Math.max(1, distance(low, high) / 2);
    for (const site of scene.worksites) this.corners.push(new Vector3(...vec(site.at_m)));
    for (const solid of scene.solids) {
      const half = halfOf(solid);
      for (const [x, y, z] of [[1, 1, 1], [1, 1, -1], [1, -1, 1], [1, -1, -1], [-1, 1, 1], [-1, 1, -1], [-1, -1, 1], [-1, -1, -1]] as const)
        this.corners.push(new Vector3(...vec(solid.at_m)).add(new Vector3(half[0] * x, half[1] * y, half[2] * z)));
    }
    const body = new Group();
    for (const solid of scene.solids) body.add(...this.drawn(solid));
    for (const route of scene.routes) {
      const a = scene.worksites.find((site) => site.id === route.a);
      const b = scene.worksites.find((site) => site.id === route.b);
      if (a && b) body.add(this.rail(vec(a.at_m), vec(b.at_m)));
    }
    this.stage.add(body, this.everywhere, this.sun, this.sun.target);
    this.sun.target.position.copy(this.centre);
    this.sun.castShadow = true;
    this.sun.shadow.mapSize.set(1024, 1024);
    this.sun.shadow.bias = -0.002;
    this.sun.shadow.normalBias = 0.05;
    const box = this.sun.shadow.camera;
    box.left = box.bottom = -this.radius;
    box.right = box.top = this.radius;
    box.near = 0.1;
    box.far = 4 * this.radius;
    box.updateProjectionMatrix();
    this.towardSun(null, null);
    if (bySoftware) this.economise();
  }

  paint(colours: Colours): void {
    this.colours = colours;
    this.solid.color = new Color(colours.solid);
    this.edge.color = new Color(colours.edge);
    this.route.color = new Color(colours.route);
    this.background();
  }

  resize(width: number, height: number): void {
    this.width = Math.max(1, width);
    this.height = Math.max(1, height);
    this.renderer.setSize(this.width, this.height, false);
    this.camera.aspect = this.width / this.height;
    // Room for the names at the edge.
    this.most = { x: Math.max(0.72, 1 - 110 / this.width), y: Math.max(0.6, 1 - 76 / this.height) };
    this.look();
  }

  /** Radians about the station and above its horizon. */
  turn(about: number, above: number): void {
    this.turned += about;
    this.risen = Math.min(1.5, Math.max(-1.5, this.risen + above));
    this.look();
  }
  zoom(by: number): void {
    this.zoomed = Math.min(6, Math.max(0.6, this.zoomed * by));
    this.look();
  }
  home(): void {
    this.turned = home.turn;
    this.risen = home.rise;
    this.zoomed = 1;
    this.look();
  }

  /** `toward` null: nobody knows where the sun is, so light comes from behind the viewer. `day` false: the Earth hides it. */
  towardSun(toward: Vec | null, day: boolean | null): void {
    this.night = day === false;
    const from = toward ? new Vector3(...toward) : new Vector3(0.5, 0.5, -1).normalize();
    this.sun.position.copy(this.centre).addScaledVector(from, 2 * this.radius);
    this.sun.intensity = this.night ? 0 : 2.6;
    this.sun.castShadow = toward !== null && !this.night;
    this.everywhere.intensity = this.night ? 0.9 : toward ? 0.75 : 1.3;
    this.renderer.shadowMap.needsUpdate = true;
    this.background();
  }

  draw(): void {
    const begun = performance.now();
    this.renderer.render(this.stage, this.camera);
    // A card that is as slow is treated alike: by the third picture everything is compiled, and reading a point back waits
    // for the picture to be finished.
    if (this.slow || this.measured >= 3) return;
    const gl = this.renderer.getContext();
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
    if (++this.measured === 3 && performance.now() - begun > slowFrame) this.economise();
  }

  /** A processor draws in place of a graphics card: fewer points, so that the page stays quick. */
  private economise(): void {
    this.slow = true;
    this.renderer.setPixelRatio(coarse.rest);
    this.renderer.setSize(this.width, this.height, false);
    this.sun.shadow.mapSize.set(512, 512);
    this.sun.shadow.map?.dispose();
    this.sun.shadow.map = null;
    this.renderer.shadowMap.needsUpdate = true;
  }

  /** While something moves nobody sees fine points; at rest they are drawn. True when that calls for a new picture. */
  stir(moving: boolean): boolean {
    if (!this.slow || moving === this.moving) return false;
    this.moving = moving;
    this.renderer.setPixelRatio(moving ? coarse.moving : coarse.rest);
    this.renderer.setSize(this.width, this.height, false);
    return true;
  }

  /** Where a point of the station lies on the sheet. */
  project(at: Vec): Point {
    const seen = new Vector3(...at).project(this.camera);
    return { x: ((seen.x + 1) / 2) * this.width, y: ((1 - seen.y) / 2) * this.height };
  }

  end(): void {
    this.stage.traverse((one) => {
      if (one instanceof Mesh || one instanceof LineSegments) (one.geometry as BufferGeometry).dispose();
    });
    this.renderer.dispose();
  }

  private background(): void {
    if (this.colours) this.stage.background = new Color(this.night ? this.colours.night : this.colours.back);
  }

  private look(): void {
    const level = Math.cos(this.risen);
    const from = new Vector3(Math.cos(this.turned) * level, Math.sin(this.turned) * level, -Math.sin(this.risen));
    this.camera.up.copy(upward);
    const stand = (away: number) => {
      this.camera.position.copy(this.centre).addScaledVector(from, away);
      this.camera.lookAt(this.centre);
      this.camera.updateMatrixWorld();
      this.camera.updateProjectionMatrix();
    };
    // As near as it fits, whatever the shape of sheet and station.
    let near = this.radius * 0.5;
    let far = this.radius * 12;
    for (let i = 0; i < 18; ++i) {
      const middle = (near + far) / 2;
      stand(middle);
      if (this.corners.every((corner) => this.fits(corner))) far = middle;
      else near = middle;
    }
    stand(far / this.zoomed);
  }
  private fits(corner: Vector3): boolean {
    const seen = corner.clone().project(this.camera);
    return Math.abs(seen.x) < this.most.x && Math.abs(seen.y) < this.most.y && seen.z < 1;
  }

  private drawn(solid: Solid): (Mesh | LineSegments)[] {
    const shape = solid.shape === 'box'
      ? new BoxGeometry(...vec(solid.size_m))
      : new CylinderGeometry(solid.radius_m, solid.radius_m, solid.length_m, 28);
    const mesh = new Mesh(shape, this.solid);
    const edges = new LineSegments(new EdgesGeometry(shape, 30), this.edge);
    for (const one of [mesh, edges]) {
      one.position.set(...vec(solid.at_m));
      if (solid.shape === 'cylinder') one.quaternion.setFromUnitVectors(new Vector3(0, 1, 0), new Vector3(...vec(solid.axis)).normalize());
    }
    mesh.castShadow = mesh.receiveShadow = true;
    return [mesh, edges];
  }

  private rail(a: Vec, b: Vec): Mesh {
    const from = new Vector3(...a);
    const way = new Vector3(...b).sub(from);
    const rail = new Mesh(new CylinderGeometry(0.07, 0.07, way.length(), 6), this.route);
    rail.position.copy(from).addScaledVector(way, 0.5);
    rail.quaternion.setFromUnitVectors(new Vector3(0, 1, 0), way.normalize());
    return rail;
  }
}
