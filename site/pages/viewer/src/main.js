/* The viewer of a booklet, as one classic script. On the page:

     benchleafViewer.open(element, options)   a promise of a view inside `element`, which it is appended to

   Options: step, the id of a step ("assembly-12"); parts, a list as for setParts, in place of a step; controls: false
   leaves out all buttons; canvas, one with a webgl2 context; onTap(part, told), onStep(id, step), onClose(view) are called; homeOf(id) gives the element
   that a step's view belongs in, onHome(id) is called when it is back there from full screen.

   A view has: setStep(id); setParts([{part, role, pose}]), role one of plain, context, moving, focus, quiet, pose
   [x, y, z, qx, qy, qz, qw] in mm and as a unit quaternion, left out: in place; select(name); play(); scrub(share);
   setCut({way, share, other}) or setCut(null); reset(); close(); model, with parts, tools and steps.

   benchleafViewer.view is the view that was opened last, null where none is open.

   The model is that of the script beside this one, which calls itself benchleafModel. */
import { inflate } from "./decode.js";
import { View } from "./view.js";

let bytes = null;

async function open(element, options) {
  const [model, meshes] = window.benchleafModel;
  bytes = bytes || inflate(meshes);
  const view = new View(model, await bytes, options || {});
  window.benchleafViewer.view = view;
  element.append(view.panel.root);
  try {
    if (view.options.parts) {
      view.setParts(view.options.parts); view.look(); view.refresh();
    } else {
      await view.open(view.options.step);
    }
  } catch (error) { view.close(); throw error; }
  return view;
}

window.benchleafViewer = { open, view: null };
