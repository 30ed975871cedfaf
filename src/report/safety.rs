//! What to watch for whenever a client works a switch. Common clinical practice in our own words;
//! no diagnosis, and local policy holds.

pub(super) const TEXT: &str = "\
<ul>
<li><strong>Injury at or above T6.</strong> Pounding headache, sweating, flushing or a slow pulse may be autonomic \
dysreflexia, an emergency. Stop at once, sit the client up, loosen whatever is tight, look for the cause (the switch \
and its mounting too) and call for help as local policy says.</li>
<li><strong>Skin and position.</strong> Look at the skin under the switch and at the mount before and after each \
session; a badly placed switch can injure skin that feels nothing.</li>
<li><strong>Spasm and fatigue.</strong> Take a break every 5 to 10 minutes. Never speed up while presses are missed.</li>
<li><strong>Mouth-operated switches.</strong> One mouthpiece for one person; clean and replace it as local infection \
control says. Check for loose parts that could choke, and look at lips and skin.</li>
<li><strong>Photosensitive epilepsy.</strong> Ask before any scan rate below 0.334 s per item: the highlight could then \
change more than three times a second.</li>
<li><strong>Training only.</strong> The program works a simulated home. Do not wire it to real doors, beds or alarms; \
keep the client's own call for help within reach.</li>
<li><strong>Health data.</strong> Keep this file and its log where such data belong, under a code and never a name.</li>
</ul>
";
