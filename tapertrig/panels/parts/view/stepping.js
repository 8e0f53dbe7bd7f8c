// A quantity's value by whole steps between its ends, as its slider has them.
const stepsIn = (control) => Math.max(1, Math.round((control.get("maximum") - control.get("minimum")) / control.get("step")));
const stepsTo = (control, value) => Math.round((value - control.get("minimum")) / control.get("step"));

function setSteps(control, steps) {
  const within = Math.min(Math.max(steps, 0), stepsIn(control));
  const value = Math.min(control.get("minimum") + within * control.get("step"), control.get("maximum"));
  if (control.get("disabled") || value === control.get("value")) return;
  control.set("value", value);
  control.save_changes(); // while the kernel is busy only the last one waits
}
