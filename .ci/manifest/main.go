// Command manifest reads a Kubernetes manifest as the cluster's own types, where
// an unknown field or a wrong type is an error, and checks what types cannot say:
// that its parts mean each other, and that pods are as safe as they can be.
package main

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"os"
	"strconv"
	"time"

	apps "k8s.io/api/apps/v1"
	autoscaling "k8s.io/api/autoscaling/v2"
	core "k8s.io/api/core/v1"
	policy "k8s.io/api/policy/v1"
	"k8s.io/apimachinery/pkg/util/intstr"
	"sigs.k8s.io/yaml"
)

// manifest is all that must be there.
type manifest struct {
	deployment apps.Deployment
	service    core.Service
	scaler     autoscaling.HorizontalPodAutoscaler
	budget     policy.PodDisruptionBudget
}

func main() {
	if err := check(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func check(name string) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	m, err := read(text)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return errors.Join(m.together(), m.pod(), m.probes(), m.closing())
}

// read takes the documents of a manifest, one of each kind.
func read(text []byte) (*manifest, error) {
	m := &manifest{}
	kinds := map[string]any{
		"apps/v1 Deployment": &m.deployment, "v1 Service": &m.service,
		"autoscaling/v2 HorizontalPodAutoscaler": &m.scaler, "policy/v1 PodDisruptionBudget": &m.budget,
	}
	for i, doc := range bytes.Split(text, []byte("\n---\n")) {
		var kind struct{ APIVersion, Kind string }
		if err := yaml.Unmarshal(doc, &kind); err != nil {
			return nil, fmt.Errorf("document %d: %w", i+1, err)
		}
		into, known := kinds[kind.APIVersion+" "+kind.Kind]
		if !known {
			return nil, fmt.Errorf("document %d: one %s %s too many", i+1, kind.APIVersion, kind.Kind)
		}
		if err := yaml.UnmarshalStrict(doc, into); err != nil {
			return nil, fmt.Errorf("document %d: %w", i+1, err)
		}
		delete(kinds, kind.APIVersion+" "+kind.Kind)
	}
	for kind := range maps.Keys(kinds) {
		return nil, fmt.Errorf("there is no %s", kind)
	}
	return m, nil
}

// says is an error where something does not hold.
func says(holds bool, text string) error {
	if holds {
		return nil
	}
	return errors.New(text)
}

func within(part, whole map[string]string) bool {
	for k, v := range part {
		if whole[k] != v {
			return false
		}
	}
	return len(part) > 0
}

// together checks that the parts mean each other.
func (m *manifest) together() error {
	labels := m.deployment.Spec.Template.Labels
	target := m.scaler.Spec.ScaleTargetRef
	return errors.Join(
		says(within(m.deployment.Spec.Selector.MatchLabels, labels), "the deployment does not select its pods"),
		says(within(m.service.Spec.Selector, labels), "the service does not select the pods"),
		says(within(m.budget.Spec.Selector.MatchLabels, labels), "the budget does not select the pods"),
		says(target.Kind == "Deployment" && target.Name == m.deployment.Name, "the scaler scales something else"),
		says(m.deployment.Spec.Replicas == nil, "the deployment and the scaler both say how many replicas there are"),
		says(*m.scaler.Spec.MinReplicas > int32(m.budget.Spec.MinAvailable.IntValue()), "the budget lets no pod go"),
		says(m.port(m.service.Spec.Ports[0].TargetPort), "the service leads to no port"),
	)
}

func (m *manifest) container() core.Container { return m.deployment.Spec.Template.Spec.Containers[0] }

func (m *manifest) port(named intstr.IntOrString) bool {
	for _, p := range m.container().Ports {
		if p.Name == named.StrVal {
			return true
		}
	}
	return false
}

// pod checks the rights of the pods. ref: Kubernetes, "Pod Security Standards",
// Restricted.
func (m *manifest) pod() error {
	spec, c := m.deployment.Spec.Template.Spec, m.container()
	return errors.Join(
		says(*spec.SecurityContext.RunAsNonRoot && *spec.SecurityContext.RunAsUser > 0, "it runs as root"),
		says(spec.SecurityContext.SeccompProfile.Type == core.SeccompProfileTypeRuntimeDefault, "it may make any system call"),
		says(!*spec.AutomountServiceAccountToken, "it is given the cluster's token"),
		says(*c.SecurityContext.ReadOnlyRootFilesystem, "its root can be written"),
		says(!*c.SecurityContext.AllowPrivilegeEscalation, "it can gain rights"),
		says(len(c.SecurityContext.Capabilities.Drop) == 1 && c.SecurityContext.Capabilities.Drop[0] == "ALL", "it keeps capabilities"),
		says(!c.Resources.Requests.Cpu().IsZero() && !c.Resources.Limits.Memory().IsZero(), "its resources are not bounded"),
	)
}

func (m *manifest) probes() error {
	c := m.container()
	asks := func(p *core.Probe, path string) bool {
		return p != nil && p.HTTPGet.Path == path && m.port(p.HTTPGet.Port)
	}
	return errors.Join(
		says(asks(c.ReadinessProbe, "/readyz"), "readiness is not asked at /readyz"),
		says(asks(c.LivenessProbe, "/healthz"), "life is not asked at /healthz"),
		says(asks(c.StartupProbe, "/readyz"), "the start is not waited for"),
	)
}

// closing checks that the cluster waits longer than the service takes to close.
func (m *manifest) closing() error {
	var sum time.Duration
	for _, e := range m.container().Env {
		if e.Name == "REEDLARK_DRAIN" || e.Name == "REEDLARK_GRACE" {
			d, err := time.ParseDuration(e.Value)
			if err != nil {
				return fmt.Errorf("%s is %s: %w", e.Name, strconv.Quote(e.Value), err)
			}
			sum += d
		}
	}
	patience := time.Duration(*m.deployment.Spec.Template.Spec.TerminationGracePeriodSeconds) * time.Second
	return says(sum > 0 && patience > sum, fmt.Sprintf("it is killed after %s, and closes within %s", patience, sum))
}
