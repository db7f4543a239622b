// The corner as solid parts that are turned with a finger, the mouse or the arrow keys. The parts and their places come
// from the server; three.js comes with the app. Without WebGL the same parts are drawn as lines.
(() => {
  const C = window.cwCorner;
  const VIEWS = { behind: [-1, 0, 0.12], outside: [0, 1, 0.12], above: [-0.02, 0, 1] };

  C.look = async (on) => {
    const box = document.querySelector(".pose"), place = box.querySelector(".solid");
    box.classList.toggle("turns", on);
    for (const one of box.querySelectorAll("[data-view]")) one.setAttribute("aria-pressed", String((one.dataset.view === "solid") === on));
    if (on && !C.solid) {
      const three = await import("nicegui-scene");
      C.solid = new Solid(place, three);
    }
    C.ask({ solid: on });
  };

  class Solid {
    constructor(place, { THREE, OrbitControls }) {
      this.T = THREE;
      this.place = place;
      this.side = Number(place.dataset.side);
      this.canvas = place.querySelector("canvas");
      const [x, y, z] = place.dataset.middle.split(",").map(Number);
      this.middle = new THREE.Vector3(x, y * this.side, z);
      this.reach = Number(place.dataset.reach);
      this.scene = new THREE.Scene();
      this.camera = new THREE.PerspectiveCamera(32, 1, 50, 20000);
      this.camera.up.set(0, 0, 1);
      this.meshes = [];
      this.colours = {};
      const probe = document.createElement("canvas").getContext("webgl2");
      place.dataset.drawn = probe ? "solid" : "lines";
      if (probe) {
        probe.getExtension("WEBGL_lose_context")?.loseContext();
        this.renderer = new THREE.WebGLRenderer({ canvas: this.canvas, antialias: true, alpha: true });
        this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
        this.scene.add(new THREE.HemisphereLight(0xffffff, 0x888888, 2.2));
        this.lamp = new THREE.DirectionalLight(0xffffff, 1.6);
        this.scene.add(this.lamp, this.lamp.target);
      }
      this.grid = new THREE.GridHelper(2400, 24);
      this.grid.rotateX(Math.PI / 2);
      this.grid.position.set(this.middle.x, this.middle.y, 0);
      this.scene.add(this.grid);
      this.controls = new OrbitControls(this.camera, this.canvas);
      Object.assign(this.controls, { enablePan: false, enableDamping: false, minDistance: 300, maxDistance: 9000 });
      this.controls.target.copy(this.middle);
      this.from([-1, 0.85, 0.5]);
      this.controls.addEventListener("change", () => this.draw());
      this.canvas.addEventListener("keydown", (e) => this.key(e));
      for (const tap of place.querySelectorAll("[data-from]"))
        tap.addEventListener("click", () => this.from(VIEWS[tap.dataset.from]));
      new ResizeObserver(() => this.size()).observe(place);
      new MutationObserver(() => this.paint()).observe(document.documentElement, { attributes: true });
      matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.paint());
      this.paint();
      this.size();
    }

    from([x, y, z]) {
      const way = new this.T.Vector3(x, y * this.side, z).normalize();
      this.camera.position.copy(this.middle).addScaledVector(way, this.reach * 4.1);
      this.controls.update();
      this.draw();
    }

    key(e) {
      const turn = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
      const nearer = { "+": 0.88, "=": 0.88, "-": 1.14 }[e.key];
      if (!turn && !nearer) return;
      e.preventDefault();
      const off = this.camera.position.clone().sub(this.middle);
      let far = off.length() * (nearer || 1), tip = Math.acos(off.z / off.length()), round = Math.atan2(off.y, off.x);
      if (turn) { round += turn[0] * 0.14; tip = Math.min(Math.max(tip + turn[1] * 0.14, 0.02), 3.1); }
      far = Math.min(Math.max(far, 300), 9000);
      this.camera.position.set(Math.sin(tip) * Math.cos(round), Math.sin(tip) * Math.sin(round), Math.cos(tip)).multiplyScalar(far).add(this.middle);
      this.controls.update();
      this.draw();
    }

    size() {
      const w = this.place.clientWidth, h = this.place.clientHeight;
      if (!w || !h) return;
      this.camera.aspect = w / h;
      this.camera.updateProjectionMatrix();
      if (this.renderer) this.renderer.setSize(w, h, false);
      else { this.canvas.width = w * devicePixelRatio; this.canvas.height = h * devicePixelRatio; }
      this.draw();
    }

    paint() {
      const style = getComputedStyle(document.documentElement);
      for (const name of ["ink", "soft", "mark", "member", "out", "stale", "line", "plate"])
        this.colours[name] = style.getPropertyValue("--" + name).trim();
      for (const one of this.meshes) for (const m of one.stuff) m.color.set(this.colours[one.look]);
      this.grid.material.color.set(this.colours.line);
      this.grid.material.vertexColors = false;
      this.grid.material.transparent = true;
      this.grid.material.opacity = 0.45;
      this.grid.material.needsUpdate = true;
      this.draw();
    }

    show(a) {
      if (a.f) this.build(a.f, a.b);
      if (a.b) { a.b.forEach((p, k) => this.put(this.meshes[k], p)); this.draw(); }
      this.canvas.setAttribute("aria-label", a.l);
    }

    stuff(look, opacity = 1) {
      return new this.T.MeshLambertMaterial({ color: this.colours[look], transparent: opacity < 1, opacity, side: this.T.DoubleSide, depthWrite: opacity === 1 });
    }

    build(form, places) {
      const T = this.T;
      for (const one of this.meshes) { this.scene.remove(one.body); one.body.traverse((m) => m.geometry?.dispose()); }
      this.meshes = form.map(([kind, look, name, size], k) => {
        const body = new T.Group(), stuff = [], one = { kind, look, name, size, body, stuff };
        const add = (geometry, opacity = 1) => {
          const m = this.stuff(look, opacity);
          stuff.push(m);
          const mesh = new T.Mesh(geometry, m);
          body.add(mesh);
          return mesh;
        };
        if (kind === "tyre") {
          const [r, w, rim] = size, h = w / 2, e = 0.28 * w;
          const side = (s) => [0, 0.25, 0.5, 0.75, 1].map((t) => new T.Vector2(r - e + e * Math.sin(t * Math.PI / 2), s * (h - e + e * Math.cos(t * Math.PI / 2))));
          const chain = [new T.Vector2(rim, -0.9 * h), ...side(-1), ...side(1).reverse(), new T.Vector2(rim, 0.9 * h)];
          add(new T.LatheGeometry(chain, 48), 0.62).renderOrder = 2;
          add(new T.CylinderGeometry(rim, rim, 1.8 * h, 40, 1, true), 0.3).renderOrder = 1;
          for (const [y, q] of [[h - e, r], [e - h, r]]) {
            const ring = new T.Mesh(new T.TorusGeometry(q - 0.1 * e, 2.2, 6, 64), this.stuff(look));
            stuff.push(ring.material);
            ring.rotateX(Math.PI / 2);
            ring.position.y = y;
            body.add(ring);
          }
        } else if (kind === "hub") {
          const [r, w] = size;
          add(new T.CylinderGeometry(r, r, w, 28));
          for (let k = 0; k < 5; k++) {
            const spoke = add(new T.BoxGeometry(0.34 * r, 0.18 * w, 3.4 * r), 0.55);
            spoke.position.set(2.3 * r * Math.sin(k * 1.2566), 0.35 * w, 2.3 * r * Math.cos(k * 1.2566));
            spoke.rotation.y = k * 1.2566;
          }
        } else if (kind === "tube") add(new T.CylinderGeometry(size[0], size[0], 1, 14));
        else if (kind === "ball") add(new T.SphereGeometry(size[0], 16, 12));
        else if (kind === "coil") {
          const [r, wire] = size, p = places[k], high = Math.hypot(p[3] - p[0], p[4] - p[1], p[5] - p[2]), turns = 7;
          class Helix extends T.Curve {
            getPoint(t) { const v = 2 * Math.PI * turns * t; return new T.Vector3(r * Math.cos(v), (t - 0.5) * (high - 2 * wire), r * Math.sin(v)); }
          }
          add(new T.TubeGeometry(new Helix(), 150, wire, 6));
          one.high = high;
        } else if (kind === "plane") add(new T.BufferGeometry(), 0.4).renderOrder = 1;
        this.scene.add(body);
        return one;
      });
    }

    put(one, p) {
      const T = this.T, s = this.side, at = (k) => new T.Vector3(p[k], p[k + 1] * s, p[k + 2]);
      one.p = p;
      const b = one.body;
      if (one.kind === "tyre" || one.kind === "hub") {
        b.position.copy(at(0));
        b.quaternion.setFromUnitVectors(new T.Vector3(0, 1, 0), at(3).normalize());
      } else if (one.kind === "tube" || one.kind === "coil") {
        const start = at(0), end = at(3), way = end.clone().sub(start), long = Math.max(way.length(), 1e-3);
        b.position.copy(start).add(end).multiplyScalar(0.5);
        b.quaternion.setFromUnitVectors(new T.Vector3(0, 1, 0), way.divideScalar(long));
        b.scale.set(1, one.kind === "tube" ? long : long / one.high, 1);
      } else if (one.kind === "ball") b.position.copy(at(0));
      else {
        const n = p.length / 3, spots = [], order = [];
        for (let k = 0; k < n; k++) spots.push(p[3 * k], p[3 * k + 1] * s, p[3 * k + 2]);
        for (let k = 1; k < n - 1; k++) order.push(0, k, k + 1);
        const g = b.children[0].geometry;
        g.setAttribute("position", new T.Float32BufferAttribute(spots, 3));
        g.setIndex(order);
        g.computeVertexNormals();
        g.computeBoundingSphere();
      }
    }

    draw() {
      if (!this.place.clientWidth || this.due) return;
      this.due = requestAnimationFrame(() => {
        this.due = 0;
        if (!this.renderer) return this.lines();
        this.lamp.position.copy(this.camera.position);
        this.lamp.target.position.copy(this.middle);
        this.renderer.render(this.scene, this.camera);
      });
    }

    // No WebGL: the same parts as lines.
    lines() {
      const T = this.T, g = this.canvas.getContext("2d"), w = this.canvas.width, h = this.canvas.height;
      g.clearRect(0, 0, w, h);
      g.lineCap = g.lineJoin = "round";
      this.camera.updateMatrixWorld();
      const spot = (v) => { const q = v.clone().project(this.camera); return [(q.x + 1) * w / 2, (1 - q.y) * h / 2]; };
      const near = (v) => h / 2 / (v.distanceTo(this.camera.position) * Math.tan(this.camera.fov * Math.PI / 360));
      const path = (list, look, wide, fill) => {
        g.beginPath();
        list.forEach((v, k) => (k ? g.lineTo(...spot(v)) : g.moveTo(...spot(v))));
        g.strokeStyle = g.fillStyle = this.colours[look];
        g.lineWidth = Math.max(wide, 1.5);
        fill ? g.fill() : g.stroke();
      };
      const m = this.middle, grid = [];
      for (let k = -6; k <= 6; k++) grid.push([[k, -6], [k, 6]], [[-6, k], [6, k]]);
      for (const ends of grid) path(ends.map(([x, y]) => new T.Vector3(m.x + 100 * x, m.y + 100 * y, 0)), "line", 0.5);
      const far = (one) => -one.body.position.distanceTo(this.camera.position);
      for (const one of [...this.meshes].filter((o) => o.p).sort((a, b) => far(a) - far(b))) {
        one.body.updateMatrixWorld(true);
        const on = (x, y, z) => new T.Vector3(x, y, z).applyMatrix4(one.body.matrixWorld), size = one.size;
        const thick = 2 * size[0] * near(one.body.position);
        if (one.kind === "tyre" || one.kind === "hub")
          for (const y of [-size[1] / 2, size[1] / 2])
            path([...Array(41).keys()].map((k) => on(size[0] * Math.cos(k * Math.PI / 20), y, size[0] * Math.sin(k * Math.PI / 20))), one.look, 2);
        else if (one.kind === "tube") path([on(0, -0.5, 0), on(0, 0.5, 0)], one.look, thick);
        else if (one.kind === "coil")
          path([...Array(141).keys()].map((k) => on(size[0] * Math.cos(k * Math.PI / 10), (k / 140 - 0.5) * one.high, size[0] * Math.sin(k * Math.PI / 10))), one.look, 2);
        else if (one.kind === "ball") path([one.body.position, one.body.position], one.look, thick);
        else { const n = one.p.length / 3; path([...Array(n + 1).keys()].map((k) => new T.Vector3(one.p[3 * (k % n)], one.p[3 * (k % n) + 1] * this.side, one.p[3 * (k % n) + 2])), one.look, 1.5); }
      }
    }
  }
})();
