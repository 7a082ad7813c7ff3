/** The box that can be turned, for a page that stands alone: its solids are in the page as JSON. Lengths in mm, box frame: x right, y away, z up. */
import * as THREE from 'three'
import { OrbitControls } from 'three/addons/controls/OrbitControls.js'

type Body = { name: string; points: number[]; tris: number[] }

const host = document.getElementById('box3d')
const data = document.getElementById('box3d-data')
if (host && data) show(host, JSON.parse(data.textContent || '[]') as Body[])

function show(host: HTMLElement, bodies: Body[]) {
  let renderer: THREE.WebGLRenderer
  try {
    renderer = new THREE.WebGLRenderer({ antialias: true, alpha: true })
  } catch {
    host.textContent = 'This browser shows no solids. The drawings of the box are further up.'
    return
  }
  renderer.setPixelRatio(Math.min(devicePixelRatio, 2))
  host.replaceChildren(renderer.domElement)
  const scene = new THREE.Scene()
  scene.add(new THREE.HemisphereLight(0xffffff, 0x999080, 2.2))
  const sun = new THREE.DirectionalLight(0xffffff, 1.4)
  sun.position.set(-300, -500, 900)
  scene.add(sun)
  const all = new THREE.Box3()
  const things = bodies.map((b) => {
    const g = new THREE.BufferGeometry()
    g.setAttribute('position', new THREE.Float32BufferAttribute(b.points, 3))
    g.setIndex(b.tris)
    const flat = g.toNonIndexed()
    flat.computeVertexNormals()
    const group = new THREE.Group()
    const wood = !/^(face|upper face)$/.test(b.name)
    group.add(new THREE.Mesh(flat, new THREE.MeshLambertMaterial({ color: wood ? 0xe6dcc3 : 0xd9dedf })))
    group.add(new THREE.LineSegments(new THREE.EdgesGeometry(flat, 25), new THREE.LineBasicMaterial({ color: 0x20262b })))
    scene.add(group)
    const box = new THREE.Box3().setFromObject(group)
    all.union(box)
    return { group, middle: box.getCenter(new THREE.Vector3()) }
  })
  const centre = all.getCenter(new THREE.Vector3())
  const size = all.getSize(new THREE.Vector3()).length() || 100
  const camera = new THREE.PerspectiveCamera(30, 1, size / 50, size * 20)
  camera.up.set(0, 0, 1)
  camera.position.copy(centre).add(new THREE.Vector3(-0.9, -1.5, 1.1).multiplyScalar(size))
  const turn = new OrbitControls(camera, renderer.domElement)
  turn.target.copy(centre)
  turn.update()
  turn.enableZoom = !matchMedia('(pointer: coarse)').matches
  const slider = document.getElementById('box3d-apart') as HTMLInputElement | null
  function draw() {
    const apart = slider ? Number(slider.value) / 100 : 0
    for (const t of things) t.group.position.copy(t.middle).sub(centre).multiplyScalar(apart * 1.2)
    renderer.render(scene, camera)
  }
  function fit() {
    const w = host.clientWidth
    const h = Math.max(260, Math.min(520, w * 0.7))
    renderer.setSize(w, h)
    camera.aspect = w / h
    camera.updateProjectionMatrix()
    draw()
  }
  turn.addEventListener('change', draw)
  slider?.addEventListener('input', draw)
  host.tabIndex = 0
  host.addEventListener('keydown', (e) => {
    const by: Record<string, [number, number]> = { ArrowLeft: [0.15, 0], ArrowRight: [-0.15, 0], ArrowUp: [0, -0.12], ArrowDown: [0, 0.12] }
    const k = by[e.key]
    if (!k) return
    e.preventDefault()
    const s = new THREE.Spherical().setFromVector3(new THREE.Vector3().subVectors(camera.position, centre).applyAxisAngle(new THREE.Vector3(1, 0, 0), -Math.PI / 2))
    s.theta += k[0]
    s.phi = Math.min(Math.PI - 0.1, Math.max(0.1, s.phi + k[1]))
    camera.position.setFromSpherical(s).applyAxisAngle(new THREE.Vector3(1, 0, 0), Math.PI / 2).add(centre)
    turn.update()
    draw()
  })
  new ResizeObserver(fit).observe(host)
  fit()
}
