"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const canvas = byId("stage");
  const scene = JSON.parse(byId("scene").textContent);
  const gl = canvas.getContext("webgl2", { antialias: true, preserveDrawingBuffer: true });
  if (!gl || !scene) {
    byId("no-view").hidden = false;
    canvas.hidden = true;
    document.querySelector("#view .controls").hidden = true;
    return;
  }

  // ---- small matrices, column after column ----
  const mul = (a, b) => {
    const o = new Float32Array(16);
    for (let c = 0; c < 4; c++) for (let r = 0; r < 4; r++)
      for (let k = 0; k < 4; k++) o[4 * c + r] += a[4 * k + r] * b[4 * c + k];
    return o;
  };
  const shifted = (v) => new Float32Array([1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, v[0], v[1], v[2], 1]);
  const ofRows = (m) => new Float32Array([m[0][0], m[1][0], m[2][0], 0, m[0][1], m[1][1], m[2][1], 0,
    m[0][2], m[1][2], m[2][2], 0, m[0][3], m[1][3], m[2][3], 1]);

  // ---- drawing ----
  const shader = (kind, text) => {
    const s = gl.createShader(kind);
    gl.shaderSource(s, text);
    gl.compileShader(s);
    return s;
  };
  const program = (vertex, fragment) => {
    const p = gl.createProgram();
    gl.attachShader(p, shader(gl.VERTEX_SHADER, "#version 300 es\n" + vertex));
    gl.attachShader(p, shader(gl.FRAGMENT_SHADER, "#version 300 es\nprecision highp float;\n" + fragment));
    gl.bindAttribLocation(p, 0, "at");
    gl.linkProgram(p);
    const places = {};
    const count = gl.getProgramParameter(p, gl.ACTIVE_UNIFORMS);
    for (let i = 0; i < count; i++) {
      const name = gl.getActiveUniform(p, i).name;
      places[name] = gl.getUniformLocation(p, name);
    }
    return { p, u: places };
  };
  const vertexText = `in vec3 at; uniform mat4 model, camera; uniform float nearer; out vec3 seen;
    void main() { vec4 w = model * vec4(at, 1.0); seen = w.xyz; gl_Position = camera * w;
      gl_Position.z -= nearer * gl_Position.w; gl_PointSize = 12.0; }`;
  // On the bed: what lies on it, and what leans over further than prints by itself.
  const faces = program(vertexText, `in vec3 seen; uniform vec3 colour, eye; uniform vec2 bed; uniform float flat_; out vec4 o;
    void main() { vec3 n = normalize(cross(dFdx(seen), dFdy(seen)));
      float lit = 0.45 + 0.4 * max(0.0, dot(n, normalize(eye))) + 0.2 * max(0.0, n.z);
      bool under = flat_ == 0.0 && bed.y > 0.0 && n.z < -bed.y;
      vec3 own = !under ? colour : seen.z < bed.x + 0.05 ? vec3(0.16, 0.5, 0.73) : vec3(0.93, 0.62, 0.1);
      o = vec4(mix(own * (under ? max(lit, 0.8) : lit), own, flat_), 1.0); }`);
  const marks = program(vertexText, `in vec3 seen; uniform vec3 colour; out vec4 o;
    void main() { vec2 d = gl_PointCoord - 0.5; float r = length(d); if (r > 0.5) discard;
      o = vec4(r > 0.36 ? vec3(1.0) : colour, 1.0); }`);

  const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer;
  const buffered = (kind, data) => {
    const b = gl.createBuffer();
    gl.bindBuffer(kind, b);
    gl.bufferData(kind, data, gl.STATIC_DRAW);
    return b;
  };
  const pieces = scene.pieces.map((piece) => {
    const points = new Float32Array(bytes(piece.points));
    const triangles = new Uint32Array(bytes(piece.triangles));
    const edges = new Uint32Array(bytes(piece.edges));
    const vao = gl.createVertexArray();
    gl.bindVertexArray(vao);
    buffered(gl.ARRAY_BUFFER, points);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
    const faceBuffer = buffered(gl.ELEMENT_ARRAY_BUFFER, triangles);
    const edgeBuffer = buffered(gl.ELEMENT_ARRAY_BUFFER, edges);
    gl.bindVertexArray(null);
    const bed = buffered(gl.ARRAY_BUFFER, new Float32Array(piece.bed.flatMap(([x, y]) => [x, y, 0])));
    const bedVao = gl.createVertexArray();
    gl.bindVertexArray(bedVao);
    gl.bindBuffer(gl.ARRAY_BUFFER, bed);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
    gl.bindVertexArray(null);
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    for (let i = 0; i < points.length; i++) {
      low[i % 3] = Math.min(low[i % 3], points[i]);
      high[i % 3] = Math.max(high[i % 3], points[i]);
    }
    const lowest = (m) => {
      let z = Infinity;
      for (let i = 0; i < points.length; i += 3)
        z = Math.min(z, m[2] * points[i] + m[6] * points[i + 1] + m[10] * points[i + 2] + m[14]);
      return z;
    };
    return { ...piece, vao, bedVao, lowest, faceBuffer, edgeBuffer, faceCount: triangles.length, edgeCount: edges.length,
      reach: Math.hypot(high[0] - low[0], high[1] - low[1], high[2] - low[2]) / 2 };
  });
  const markVao = gl.createVertexArray();
  gl.bindVertexArray(markVao);
  buffered(gl.ARRAY_BUFFER, new Float32Array(scene.findings.flatMap((f) => f.at)));
  gl.enableVertexAttribArray(0);
  gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
  gl.bindVertexArray(null);

  // ---- what is shown ----
  const start = { turn: -0.75, rise: 0.5, zoom: 1, pan: [0, 0] };
  const state = { ...start, pan: [0, 0], apart: 0, step: scene.steps.length, picked: -1, alone: false, lie: false,
    marks: true, hidden: new Set() };
  const still = matchMedia("(prefers-reduced-motion: reduce)").matches;

  const offset = (k) => {
    const piece = pieces[k];
    let v = piece.middle.map((x) => x * 0.9 * state.apart);
    // Steps that are still to come hold their pieces back along the slide.
    scene.steps.forEach((s, i) => {
      if (!s.moving.includes(k)) return;
      const done = Math.min(1, Math.max(0, state.step - i));
      // From afar to where its slide begins, then the slide as long as it is.
      const back = done < 0.3 ? s.travel + (0.3 - done) / 0.3 * scene.radius * 0.2 : s.travel * (1 - done) / 0.7;
      v = v.map((x, a) => x - s.direction[a] * back);
    });
    return v;
  };
  const modelOf = (k) => {
    if (!state.lie || k !== state.picked) return shifted(offset(k));
    // On the bed, its middle in the middle of the view.
    const m = ofRows(pieces[k].to_bed);
    const mid = pieces[k].middle;
    const at = [0, 1, 2].map((r) => m[r] * mid[0] + m[4 + r] * mid[1] + m[8 + r] * mid[2] + m[12 + r]);
    return mul(shifted(at.map((x) => -x)), m);
  };
  const isShown = (k) => !state.hidden.has(k) && (state.picked < 0 || !(state.alone || state.lie) || k === state.picked);

  const camera = () => {
    const w = canvas.width, h = canvas.height;
    const one = state.picked >= 0 && state.lie;
    const reach = (one ? Math.max(pieces[state.picked].reach, Math.hypot(...pieces[state.picked].bed[0])) : scene.radius * (1 + state.apart)) * 1.15 / state.zoom;
    const across = [-Math.sin(state.turn), Math.cos(state.turn), 0];
    const eye = [Math.cos(state.turn) * Math.cos(state.rise), Math.sin(state.turn) * Math.cos(state.rise), Math.sin(state.rise)];
    const up = [eye[1] * across[2] - eye[2] * across[1], eye[2] * across[0] - eye[0] * across[2], eye[0] * across[1] - eye[1] * across[0]];
    const s = Math.min(w, h), deep = 4 * scene.radius * (1 + state.apart);
    const sx = s / w / reach, sy = s / h / reach;
    const m = new Float32Array(16);
    for (let k = 0; k < 3; k++) {
      m[4 * k] = across[k] * sx;
      m[4 * k + 1] = up[k] * sy;
      m[4 * k + 2] = -eye[k] / deep;
    }
    m[12] = state.pan[0] * sx; m[13] = state.pan[1] * sy; m[15] = 1;
    return { m, eye, reach };
  };

  let wanted = false;
  const redraw = () => { if (!wanted) { wanted = true; requestAnimationFrame(draw); } };
  const pass = (ids) => {
    const { m, eye } = camera();
    gl.viewport(0, 0, canvas.width, canvas.height);
    if (ids) gl.clearColor(0, 0, 0, 1); else gl.clearColor(0.984, 0.98, 0.969, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    gl.useProgram(faces.p);
    gl.uniformMatrix4fv(faces.u.camera, false, m);
    gl.uniform3fv(faces.u.eye, eye);
    pieces.forEach((piece, k) => {
      if (!isShown(k)) return;
      gl.bindVertexArray(piece.vao);
      gl.uniformMatrix4fv(faces.u.model, false, modelOf(k));
      const rgb = ids ? [((k + 1) & 255) / 255, ((k + 1) >> 8) / 255, 0] : piece.rgb.map((x) => x / 255);
      const other = !ids && state.picked >= 0 && k !== state.picked;
      gl.uniform3fv(faces.u.colour, other ? rgb.map((x) => 0.45 * x + 0.5) : rgb);
      gl.uniform1f(faces.u.flat_, ids ? 1 : 0);
      gl.uniform1f(faces.u.nearer, 0);
      const lies = state.lie && k === state.picked && !ids;
      const at = lies ? piece.lowest(modelOf(k)) : 0;
      gl.uniform2fv(faces.u.bed, [at, lies ? piece.overhang_cos : 0]);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, piece.faceBuffer);
      gl.drawElements(gl.TRIANGLES, piece.faceCount, gl.UNSIGNED_INT, 0);
      if (ids) return;
      gl.uniform3fv(faces.u.colour, k === state.picked ? [0, 0, 0] : [0.11, 0.145, 0.157]);
      gl.uniform1f(faces.u.flat_, 1);
      gl.uniform1f(faces.u.nearer, 0.0005);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, piece.edgeBuffer);
      gl.drawElements(gl.LINES, piece.edgeCount, gl.UNSIGNED_INT, 0);
      if (!lies) return;
      gl.bindVertexArray(piece.bedVao);
      gl.uniformMatrix4fv(faces.u.model, false, shifted([0, 0, at]));
      gl.uniform3fv(faces.u.colour, [0.45, 0.5, 0.52]);
      gl.drawArrays(gl.LINE_LOOP, 0, piece.bed.length);
    });
    if (!ids && state.marks && scene.findings.length && state.apart === 0 && !state.lie) {
      gl.useProgram(marks.p);
      gl.uniformMatrix4fv(marks.u.camera, false, m);
      gl.uniformMatrix4fv(marks.u.model, false, shifted([0, 0, 0]));
      gl.uniform1f(marks.u.nearer, 0.3);
      gl.bindVertexArray(markVao);
      scene.findings.forEach((f, k) => {
        gl.uniform3fv(marks.u.colour, f.severity === "error" ? [0.61, 0.11, 0.11] : [0.48, 0.3, 0]);
        gl.drawArrays(gl.POINTS, k, 1);
      });
    }
    gl.bindVertexArray(null);
  };
  const draw = () => {
    wanted = false;
    const scale = Math.min(window.devicePixelRatio || 1, 2);
    const w = Math.max(1, Math.round(canvas.clientWidth * scale)), h = Math.max(1, Math.round(canvas.clientHeight * scale));
    if (canvas.width !== w || canvas.height !== h) { canvas.width = w; canvas.height = h; }
    pass(false);
  };

  // ---- picking ----
  const row = (id) => document.getElementById(id)?.closest("tr");
  const pick = (k) => {
    if (state.picked >= 0) row(pieces[state.picked].id)?.classList.remove("picked");
    state.picked = k;
    const id = k >= 0 ? pieces[k].id : "";
    if (k >= 0) row(id)?.classList.add("picked");
    byId("choose").value = id;
    byId("picked").textContent = id ? "Picked: " + id : "No piece picked";
    redraw();
  };
  const under = (x, y) => {
    pass(true);
    const box = canvas.getBoundingClientRect();
    const px = Math.floor((x - box.left) * canvas.width / box.width);
    const py = Math.floor((box.bottom - y) * canvas.height / box.height);
    const rgba = new Uint8Array(4);
    gl.readPixels(px, py, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, rgba);
    pass(false);
    // Smoothed edges mix two ids: only what is exact counts.
    const k = rgba[0] + 256 * rgba[1] - 1;
    return k < pieces.length && rgba[2] === 0 ? k : -1;
  };

  // ---- steps ----
  let player = 0;
  const stepSlider = byId("step");
  const say = () => {
    const k = Math.ceil(state.step) - 1;
    byId("said").textContent = state.step >= scene.steps.length ? "All pieces in place"
      : k < 0 ? "Nothing put together yet" : scene.steps[k].words;
  };
  const toStep = (value) => {
    state.step = Math.min(scene.steps.length, Math.max(0, value));
    stepSlider.value = Math.round(state.step);
    say();
    redraw();
  };
  const stop = () => { cancelAnimationFrame(player); player = 0; byId("play").textContent = "Play assembly"; };
  const slideTo = (goal, then) => {
    if (still) { toStep(goal); if (then) then(); return; }
    let last = 0;
    const tick = (now) => {
      const by = last ? (now - last) / 1200 : 0;
      last = now;
      const next = goal > state.step ? Math.min(goal, state.step + by) : Math.max(goal, state.step - by);
      toStep(next);
      if (next !== goal) player = requestAnimationFrame(tick);
      else if (then) then(); else stop();
    };
    player = requestAnimationFrame(tick);
  };
  byId("before").onclick = () => { stop(); slideTo(Math.ceil(state.step) - 1); };
  byId("after").onclick = () => { stop(); slideTo(Math.floor(state.step) + 1); };
  byId("play").onclick = () => {
    if (player) { stop(); return; }
    if (state.step >= scene.steps.length) toStep(0);
    byId("play").textContent = "Pause";
    const on = () => (state.step < scene.steps.length ? slideTo(Math.floor(state.step) + 1, on) : stop());
    on();
  };
  stepSlider.oninput = () => { stop(); toStep(Number(stepSlider.value)); };

  // ---- other controls ----
  byId("apart").oninput = (e) => { state.apart = Number(e.target.value) / 100; redraw(); };
  const pressed = (id, key) => {
    const button = byId(id);
    if (!button) return;
    button.onclick = () => {
      if (key !== "marks" && state.picked < 0) pick(0);
      state[key] = !state[key];
      button.setAttribute("aria-pressed", String(state[key]));
      redraw();
    };
  };
  pressed("lie", "lie"); pressed("alone", "alone"); pressed("marks", "marks");
  byId("hide").onclick = () => {
    if (state.picked < 0) return;
    state.hidden.add(state.picked);
    pick(-1);
  };
  byId("show").onclick = () => { state.hidden.clear(); redraw(); };
  byId("home").onclick = () => {
    Object.assign(state, start, { pan: [0, 0], alone: false, lie: false });
    for (const id of ["lie", "alone"]) byId(id).setAttribute("aria-pressed", "false");
    redraw();
  };
  byId("choose").onchange = (e) => pick(pieces.findIndex((p) => p.id === e.target.value));
  pieces.forEach((piece, k) => {
    const at = row(piece.id);
    if (!at || at.dataset.heard) return;
    at.dataset.heard = "yes";
    at.addEventListener("click", (e) => {
      const own = e.target.closest("[data-piece]")?.dataset.piece;
      pick(own ? pieces.findIndex((p) => p.id === own) : k);
    });
  });

  // ---- mouse, touch, keys ----
  const held = new Map();
  let moved = 0;
  const pan = (dx, dy) => {
    const mm = 2 * camera().reach / Math.min(canvas.clientWidth, canvas.clientHeight);
    state.pan[0] += dx * mm; state.pan[1] -= dy * mm;
  };
  const turn = (dx, dy) => {
    state.turn -= dx * 0.008;
    state.rise = Math.min(1.57, Math.max(-1.57, state.rise + dy * 0.008));
  };
  const zoom = (by) => { state.zoom = Math.min(40, Math.max(0.2, state.zoom * by)); };
  canvas.addEventListener("pointerdown", (e) => {
    canvas.setPointerCapture(e.pointerId);
    held.set(e.pointerId, [e.clientX, e.clientY]);
    moved = 0;
  });
  canvas.addEventListener("pointermove", (e) => {
    if (!held.has(e.pointerId)) return;
    const [x, y] = held.get(e.pointerId);
    const dx = e.clientX - x, dy = e.clientY - y;
    moved += Math.abs(dx) + Math.abs(dy);
    if (held.size === 2) {
      const [other] = [...held].filter(([id]) => id !== e.pointerId).map(([, at]) => at);
      const before = Math.hypot(x - other[0], y - other[1]), now = Math.hypot(e.clientX - other[0], e.clientY - other[1]);
      if (before > 0) zoom(now / before);
      pan(dx / 2, dy / 2);
    } else if (e.shiftKey || e.buttons & 6) pan(dx, dy);
    else turn(dx, dy);
    held.set(e.pointerId, [e.clientX, e.clientY]);
    redraw();
  });
  const let_go = (e) => {
    if (held.delete(e.pointerId) && e.type === "pointerup" && moved < 5) pick(under(e.clientX, e.clientY));
  };
  canvas.addEventListener("pointerup", let_go);
  canvas.addEventListener("pointercancel", let_go);
  canvas.addEventListener("contextmenu", (e) => e.preventDefault());
  canvas.addEventListener("wheel", (e) => { e.preventDefault(); zoom(Math.exp(-e.deltaY * 0.0012)); redraw(); }, { passive: false });
  canvas.addEventListener("keydown", (e) => {
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    const way = arrows[e.key];
    if (way) (e.shiftKey ? pan : turn)(way[0] * 20, way[1] * 20);
    else if (e.key === "+" || e.key === "=") zoom(1.2);
    else if (e.key === "-") zoom(1 / 1.2);
    else if (e.key === "Home") byId("home").click();
    else if (e.key === "Enter") pick((state.picked + 1) % pieces.length);
    else if (e.key === "Escape") pick(-1);
    else return;
    e.preventDefault();
    redraw();
  });
  new ResizeObserver(redraw).observe(canvas);
  say();
  redraw();
})();
